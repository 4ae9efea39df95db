//! A board exactly at a limit raises no query; one just beyond it does. For every distance rule,
//! turned and mirrored, in mm and in inch, against the limits of the profile `standard`.

#[path = "support/pose.rs"]
mod pose;

use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Measured, judge};
use landgap_rules::fact::FactKind;
use landgap_rules::query::Query;
use pose::{POSES, Pose, copper, file, run};

/// A fault with one distance to set.
struct Case {
    rule: &'static str,
    kind: FactKind,
    /// The value of the profile below which the rule speaks.
    limit_um: f64,
    build: fn(Pose, f64) -> Vec<InputFile>,
}

const CASES: [Case; 9] = [
    Case { rule: "tight-gap", kind: FactKind::Gap, limit_um: 125.0, build: gap },
    Case { rule: "narrow-track", kind: FactKind::Width, limit_um: 125.0, build: width },
    Case { rule: "thin-ring", kind: FactKind::RingDrawn, limit_um: 150.0, build: ring },
    Case { rule: "thin-web", kind: FactKind::Web, limit_um: 100.0, build: web },
    Case { rule: "copper-near-edge", kind: FactKind::CopperToEdge, limit_um: 250.0, build: copper_edge },
    Case { rule: "copper-near-hole", kind: FactKind::HoleToCopper, limit_um: 200.0, build: hole_copper },
    Case { rule: "holes-too-close", kind: FactKind::HoleToHole, limit_um: 250.0, build: holes },
    Case { rule: "hole-near-edge", kind: FactKind::HoleToEdge, limit_um: 250.0, build: hole_edge },
    Case { rule: "small-opening", kind: FactKind::MaskClearance, limit_um: 50.0, build: opening },
];

fn gap(pose: Pose, um: f64) -> Vec<InputFile> {
    let far = 200.0 + um;
    copper(
        pose,
        &(pose.track(200.0, (-3000.0, 0.0), (3000.0, 0.0), 10) + &pose.track(200.0, (-3000.0, far), (3000.0, far), 11)),
    )
}

fn width(pose: Pose, um: f64) -> Vec<InputFile> {
    copper(pose, &pose.track(um, (-3000.0, 0.0), (3000.0, 0.0), 10))
}

fn ring(pose: Pose, um: f64) -> Vec<InputFile> {
    let land = pose.disc(600.0 + 2.0 * um, (0.0, 0.0), 10);
    let mut files = copper(pose, &land);
    files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &land));
    files.push(file("plated.xnc", pose.drill(&[(600.0, 0.0, 0.0)], true)));
    files
}

fn web(pose: Pose, um: f64) -> Vec<InputFile> {
    let lands = pose.disc(500.0, (0.0, 0.0), 10) + &pose.disc(500.0, (0.0, 700.0 + um), 11);
    let openings = pose.disc(700.0, (0.0, 0.0), 10) + &pose.disc(700.0, (0.0, 700.0 + um), 11);
    let mut files = copper(pose, &lands);
    files.push(file("mask.gbr", pose.artwork("Soldermask,Top", &openings)));
    files
}

fn opening(pose: Pose, um: f64) -> Vec<InputFile> {
    let mut files = copper(pose, &pose.disc(500.0, (0.0, 0.0), 10));
    files.push(file("mask.gbr", pose.artwork("Soldermask,Top", &pose.disc(500.0 + 2.0 * um, (0.0, 0.0), 10))));
    files
}

fn copper_edge(pose: Pose, um: f64) -> Vec<InputFile> {
    let x = 10_000.0 - 100.0 - um;
    copper(pose, &pose.track(200.0, (x, -3000.0), (x, 3000.0), 10))
}

fn hole_copper(pose: Pose, um: f64) -> Vec<InputFile> {
    let mut files = copper(pose, &pose.track(200.0, (-3000.0, 0.0), (3000.0, 0.0), 10));
    files.push(file("unplated.xnc", pose.drill(&[(1000.0, 0.0, 600.0 + um)], false)));
    files
}

fn holes(pose: Pose, um: f64) -> Vec<InputFile> {
    let mut files = copper(pose, &pose.track(200.0, (-3000.0, 0.0), (3000.0, 0.0), 10));
    files.push(file("unplated.xnc", pose.drill(&[(1000.0, 0.0, 3000.0), (1200.0, 1100.0 + um, 3000.0)], false)));
    files
}

fn hole_edge(pose: Pose, um: f64) -> Vec<InputFile> {
    let mut files = copper(pose, &pose.track(200.0, (-3000.0, 0.0), (3000.0, 0.0), 10));
    files.push(file("unplated.xnc", pose.drill(&[(1000.0, -9500.0 + um, 0.0)], false)));
    files
}

fn queries(board: &Measured, rule: &str) -> Vec<Query> {
    let capability = Capability::named("standard").expect("ships with the program");
    judge(board, &capability, &Order::default()).queries.into_iter().filter(|q| q.rule == rule).collect()
}

#[test]
fn exactly_at_the_limit_nothing_is_asked() {
    for case in &CASES {
        for pose in POSES {
            let found = queries(&run((case.build)(pose, case.limit_um)), case.rule);
            assert!(found.is_empty(), "{} at {} µm, {pose:?}: {:?}", case.rule, case.limit_um, found[0].what);
        }
    }
}

#[test]
fn beyond_the_limit_by_more_than_the_uncertainty_it_is_said_with_its_value() {
    for case in &CASES {
        for pose in POSES {
            let at_limit = run((case.build)(pose, case.limit_um));
            let u = at_limit.facts.of(case.kind).next().map_or(0, |f| f.uncertainty) as f64 / 1000.0;
            let value = case.limit_um - 2.0 * u - 1.0;
            let found = queries(&run((case.build)(pose, value)), case.rule);
            let drawn: Vec<f64> = found
                .iter()
                .flat_map(|q| &q.places)
                .filter_map(|p| p.drawn.or(p.measured))
                .map(|v| v as f64 / 1000.0)
                .collect();
            assert!(drawn.iter().any(|v| (v - value).abs() <= 0.5), "{} at {value} µm, {pose:?}: {drawn:?}", case.rule);
        }
    }
}
