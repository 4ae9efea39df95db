//! Fine shapes and spread of copper, with the truth by construction: every shape is written out as
//! artwork at 0°, 17°, 45° and 90°, mirrored and not, in mm and in inch. For every rule with a limit
//! three sizes: 1 µm sound, 1 µm wrong, grossly wrong; then what looks like the fault and is none.

#[path = "support/pose.rs"]
mod pose;

use landgap_rules::capability::arithmetic::{CopperInBuild, usual_build, warp_index};
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Measured, judge};
use landgap_rules::fact::{FactKind, SLIVER_DEPTH};
use landgap_rules::query::{Query, Severity};
use pose::{POSES, Pose, TURNED, copper, file, run};

fn queries(board: &Measured, rule: &str) -> Vec<Query> {
    let capability = Capability::named("standard").expect("ships with the program");
    judge(board, &capability, &Order::default()).queries.into_iter().filter(|q| q.rule == rule).collect()
}

/// A shape with one length to set, the rule that judges it and the value from which nothing is said.
struct Case {
    rule: &'static str,
    kind: FactKind,
    preferred_um: f64,
    gross_um: f64,
    gross: Severity,
    build: fn(Pose, f64) -> Vec<InputFile>,
}

const CASES: [Case; 9] = [
    Case {
        rule: "copper-sliver",
        kind: FactKind::Sliver,
        preferred_um: 100.0,
        gross_um: 30.0,
        gross: Severity::Note,
        build: wedge,
    },
    Case {
        rule: "copper-sliver",
        kind: FactKind::Sliver,
        preferred_um: 100.0,
        gross_um: 30.0,
        gross: Severity::Note,
        build: tongue,
    },
    Case {
        rule: "same-net-slot",
        kind: FactKind::Slot,
        preferred_um: 100.0,
        gross_um: 40.0,
        gross: Severity::Ask,
        build: bay,
    },
    Case {
        rule: "same-net-slot",
        kind: FactKind::Slot,
        preferred_um: 100.0,
        gross_um: 40.0,
        gross: Severity::Ask,
        build: cut_by_clear,
    },
    Case {
        rule: "same-net-slot",
        kind: FactKind::Slot,
        preferred_um: 100.0,
        gross_um: 40.0,
        gross: Severity::Ask,
        build: joined_below,
    },
    Case {
        rule: "cut-plane",
        kind: FactKind::PlaneWeb,
        preferred_um: 125.0,
        gross_um: 20.0,
        gross: Severity::Ask,
        build: two_clearances,
    },
    Case {
        rule: "covered-fiducial",
        kind: FactKind::FiducialRing,
        preferred_um: 500.0,
        gross_um: 100.0,
        gross: Severity::Ask,
        build: fiducial_beside_a_track,
    },
    Case {
        rule: "blocked-relief",
        kind: FactKind::Spoke,
        preferred_um: 200.0,
        gross_um: 80.0,
        gross: Severity::Ask,
        build: two_spokes,
    },
    Case {
        rule: "thin-copper-text",
        kind: FactKind::Width,
        preferred_um: 125.0,
        gross_um: 60.0,
        gross: Severity::Ask,
        build: letters,
    },
];

/// A square of copper with a wedge on its right side, so wide behind its tip; by plane geometry the way
/// from a point on one side to the other is its distance from the tip times the sine of the angle.
fn wedge(pose: Pose, um: f64) -> Vec<InputFile> {
    let angle = (um / (SLIVER_DEPTH as f64 / 1000.0)).asin();
    let half = 1200.0 * (angle / 2.0).tan();
    copper(
        pose,
        &pose.area(&[
            (-3000.0, -3000.0),
            (0.0, -3000.0),
            (0.0, -half),
            (1200.0, 0.0),
            (0.0, half),
            (0.0, 3000.0),
            (-3000.0, 3000.0),
        ]),
    )
}

/// The same square with a tongue of even width, 0.6 mm long.
fn tongue(pose: Pose, um: f64) -> Vec<InputFile> {
    let half = um / 2.0;
    copper(
        pose,
        &pose.area(&[
            (-3000.0, -3000.0),
            (0.0, -3000.0),
            (0.0, -half),
            (600.0, -half),
            (600.0, half),
            (0.0, half),
            (0.0, 3000.0),
            (-3000.0, 3000.0),
        ]),
    )
}

/// A square with a bay 1 mm deep.
fn bay(pose: Pose, um: f64) -> Vec<InputFile> {
    let half = um / 2.0;
    copper(
        pose,
        &pose.area(&[
            (-3000.0, -3000.0),
            (0.0, -3000.0),
            (0.0, -half),
            (-1000.0, -half),
            (-1000.0, half),
            (0.0, half),
            (0.0, 3000.0),
            (-3000.0, 3000.0),
        ]),
    )
}

/// A square with a clear stroke across its middle, both ends within it.
fn cut_by_clear(pose: Pose, um: f64) -> Vec<InputFile> {
    let square = pose.area(&[(-3000.0, -3000.0), (3000.0, -3000.0), (3000.0, 3000.0), (-3000.0, 3000.0)]);
    copper(pose, &format!("{square}%LPC*%\n{}%LPD*%\n", pose.track(um, (-1000.0, 0.0), (1000.0, 0.0), 20)))
}

/// Two squares side by side, each held by a plated hole, and one square below that joins them.
fn joined_below(pose: Pose, um: f64) -> Vec<InputFile> {
    let x = um;
    let left = pose.area(&[(-2000.0, -1000.0), (0.0, -1000.0), (0.0, 1000.0), (-2000.0, 1000.0)]);
    let right = pose.area(&[(x, -1000.0), (x + 2000.0, -1000.0), (x + 2000.0, 1000.0), (x, 1000.0)]);
    let below = pose.area(&[(-2500.0, -1500.0), (2500.0, -1500.0), (2500.0, 1500.0), (-2500.0, 1500.0)]);
    let mut files = copper(pose, &(left + &right));
    files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &below));
    files.push(file("plated.xnc", pose.drill(&[(300.0, -1000.0, 0.0), (300.0, 1000.0 + x, 0.0)], true)));
    files
}

/// A plane below with two round clearances of 1 mm, a plated hole with a land above in each.
fn two_clearances(pose: Pose, um: f64) -> Vec<InputFile> {
    let pitch = 1000.0 + um;
    let plane = pose.area(&[(-3000.0, -3000.0), (4000.0, -3000.0), (4000.0, 3000.0), (-3000.0, 3000.0)]);
    let clear = pose.disc(1000.0, (0.0, 0.0), 20) + &pose.disc(1000.0, (pitch, 0.0), 21);
    let lands = pose.disc(700.0, (0.0, 0.0), 10) + &pose.disc(700.0, (pitch, 0.0), 11);
    let mut files = copper(pose, &lands);
    files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &format!("{plane}%LPC*%\n{clear}%LPD*%\n")));
    files.push(file("plated.xnc", pose.drill(&[(300.0, 0.0, 0.0), (300.0, pitch, 0.0)], true)));
    files
}

/// A mark of 1 mm named as a fiducial, opened to 2 mm, and a track beside it.
fn fiducial_beside_a_track(pose: Pose, um: f64) -> Vec<InputFile> {
    let y = 500.0 + um + 100.0;
    let mark = format!("%TA.AperFunction,FiducialPad,Local*%\n{}%TD*%\n", pose.disc(1000.0, (0.0, 0.0), 10));
    let mut files = copper(pose, &(mark + &pose.track(200.0, (-3000.0, y), (3000.0, y), 11)));
    files.push(file("mask.gbr", pose.artwork("Soldermask,Top", &pose.disc(2000.0, (0.0, 0.0), 10))));
    files
}

/// A land round a plated hole, joined to the area round it by two spokes.
fn two_spokes(pose: Pose, um: f64) -> Vec<InputFile> {
    let area = pose.area(&[(-4000.0, -4000.0), (4000.0, -4000.0), (4000.0, 4000.0), (-4000.0, 4000.0)]);
    let land = pose.disc(1600.0, (0.0, 0.0), 10);
    let spokes = pose.track(um, (-1500.0, 0.0), (1500.0, 0.0), 11);
    let clear = pose.disc(2100.0, (0.0, 0.0), 20);
    let mut files = copper(pose, &format!("{area}%LPC*%\n{clear}%LPD*%\n{spokes}{land}"));
    files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &land));
    files.push(file("plated.xnc", pose.drill(&[(900.0, 0.0, 0.0)], true)));
    files
}

/// Three letters, H, L and T, 2 mm high, named as carrying no net.
fn letters(pose: Pose, um: f64) -> Vec<InputFile> {
    let strokes = [
        ((0.0, 0.0), (0.0, 2000.0)),
        ((1000.0, 0.0), (1000.0, 2000.0)),
        ((0.0, 1000.0), (1000.0, 1000.0)),
        ((1800.0, 0.0), (1800.0, 2000.0)),
        ((1800.0, 0.0), (2800.0, 0.0)),
        ((3600.0, 2000.0), (4800.0, 2000.0)),
        ((4200.0, 0.0), (4200.0, 2000.0)),
    ];
    let drawn: String = (10..).zip(strokes).map(|(number, (from, to))| pose.track(um, from, to, number)).collect();
    copper(pose, &format!("%TA.AperFunction,NonConductor*%\n{drawn}%TD*%\n"))
}

#[test]
fn one_micrometre_sound_is_silent_one_wrong_is_said_and_gross_is_graver() {
    for (number, case) in CASES.iter().enumerate() {
        for pose in TURNED {
            let sound = run((case.build)(pose, case.preferred_um + 1.0));
            let found = queries(&sound, case.rule);
            assert!(found.is_empty(), "{} 1 µm sound, {pose:?}: {}", case.rule, found[0].what);
            for um in [case.preferred_um - 1.0, case.gross_um] {
                let board = run((case.build)(pose, um));
                let values: Vec<f64> = board.facts.of(case.kind).map(|f| f.value as f64 / 1000.0).collect();
                let near = values.iter().any(|v| (v - um).abs() <= 0.5);
                assert!(near, "{} as case {number} at {um} µm, {pose:?}: measured {values:?}", case.rule);
                let found = queries(&board, case.rule);
                assert!(!found.is_empty(), "{} says nothing at {um} µm, {pose:?}", case.rule);
                if um == case.gross_um {
                    assert_eq!(found[0].severity, case.gross, "{} at {um} µm, {pose:?}", case.rule);
                }
            }
        }
    }
}

#[test]
fn tongues_webs_spokes_and_letters_are_no_narrow_tracks() {
    for pose in TURNED {
        let fine = [
            wedge(pose, 20.0),
            wedge(pose, 60.0),
            tongue(pose, 60.0),
            two_clearances(pose, 60.0),
            two_spokes(pose, 80.0),
            letters(pose, 60.0),
        ];
        for files in fine {
            let found = queries(&run(files), "narrow-track");
            assert!(found.is_empty(), "{pose:?}: {}", found[0].what);
        }
    }
}

#[test]
fn the_end_of_a_track_a_land_and_a_square_corner_are_no_slivers() {
    for pose in TURNED {
        let shapes = pose.track(90.0, (-3000.0, 0.0), (3000.0, 0.0), 10)
            + &pose.disc(200.0, (0.0, 3000.0), 11)
            + &pose.area(&[(2000.0, 2000.0), (4000.0, 2000.0), (4000.0, 4000.0)]);
        let board = run(copper(pose, &shapes));
        assert_eq!(board.facts.of(FactKind::Sliver).count(), 0, "{pose:?}");
    }
}

#[test]
fn tracks_that_meet_at_an_angle_leave_no_slot() {
    for pose in TURNED {
        // Two tracks leave one land 40° apart; a track ends beside the land it came from.
        let ends = [(3000.0, 0.0), (3000.0 * 40f64.to_radians().cos(), 3000.0 * 40f64.to_radians().sin())];
        let shapes = pose.disc(600.0, (0.0, 0.0), 10)
            + &pose.track(150.0, (0.0, 0.0), ends[0], 11)
            + &pose.track(150.0, (0.0, 0.0), ends[1], 12)
            + &pose.disc(600.0, (0.0, 680.0), 13)
            + &pose.track(150.0, (0.0, 680.0), (-600.0, 340.0), 14)
            + &pose.track(150.0, (-600.0, 340.0), (0.0, 0.0), 15);
        let board = run(copper(pose, &shapes));
        let slots: Vec<_> = board.facts.of(FactKind::Slot).collect();
        assert!(slots.is_empty(), "{pose:?}: {slots:?}");
    }
}

#[test]
fn clearances_that_overlap_leave_no_web() {
    for pose in TURNED {
        let board = run(two_clearances(pose, -100.0));
        assert_eq!(board.facts.of(FactKind::PlaneWeb).count(), 0, "{pose:?}");
        assert!(queries(&board, "cut-plane").is_empty(), "{pose:?}");
    }
}

#[test]
fn only_copper_without_hole_land_and_opening_is_dead() {
    let square = |pose: Pose, x: f64| pose.area(&[(x, 0.0), (x + 1000.0, 0.0), (x + 1000.0, 1000.0), (x, 1000.0)]);
    for pose in TURNED {
        let all = [-6000.0, -4000.0, -2000.0, 0.0];
        let shapes: String = all.map(|x| square(pose, x)).concat();
        // One meets a hole, one holds a flash, one is opened in part, one is nothing of the kind.
        let body = shapes + &pose.disc(500.0, (-3500.0, 500.0), 10);
        let mut files = copper(pose, &body);
        files.push(file("plated.xnc", pose.drill(&[(300.0, -5500.0, 500.0)], true)));
        files.push(file("mask.gbr", pose.artwork("Soldermask,Top", &pose.disc(400.0, (-2000.0, 500.0), 10))));
        files.push(file("mask2.gbr", pose.artwork("Soldermask,Bot", "")));
        let board = run(files);
        assert_eq!(board.facts.floating.len(), 1, "{pose:?}: {:?}", board.facts.floating);
        assert!((board.facts.floating[0].area_mm2 - 1.0).abs() < 1e-4, "{pose:?}");
        let found = queries(&board, "dead-copper");
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].severity, found[0].places.len()), (Severity::Note, 1), "{pose:?}");
    }
}

#[test]
fn without_its_mask_an_outer_layer_is_not_looked_at_for_dead_copper() {
    let board = run(copper(POSES[0], &POSES[0].area(&[(0.0, 0.0), (1000.0, 0.0), (1000.0, 1000.0)])));
    assert!(queries(&board, "dead-copper").is_empty());
    let verdict = judge(&board, &Capability::named("standard").expect("ships"), &Order::default());
    let ran = verdict.ran.iter().find(|r| r.rule == "dead-copper").expect("ran");
    assert!(ran.not_run.as_deref().is_some_and(|why| why.contains("no top mask")), "{ran:?}");
}

/// Four layers of 20 × 20 mm, each with a strip of copper of full height.
fn four_layers(pose: Pose, shares: [f64; 4]) -> Vec<InputFile> {
    let strip = |share: f64| {
        let x = -10_000.0 + 20_000.0 * share;
        pose.area(&[(-10_000.0, -10_000.0), (x, -10_000.0), (x, 10_000.0), (-10_000.0, 10_000.0)])
    };
    let names = ["L1,Top", "L2,Inr", "L3,Inr", "L4,Bot"];
    let mut files = vec![file("outline.gbr", pose.outline())];
    for (name, share) in names.into_iter().zip(shares) {
        files.push(file(&format!("{name}.gbr"), pose.artwork(&format!("Copper,{name}"), &strip(share))));
    }
    files
}

#[test]
fn coverage_is_copper_over_board() {
    for pose in TURNED {
        let board = run(four_layers(pose, [0.3, 0.8, 0.5, 0.3]));
        let shares: Vec<f64> = board
            .facts
            .layers
            .iter()
            .map(|l| f64::from(l.coverage.as_ref().expect("an outline").share) / 1e6)
            .collect();
        for (found, truth) in shares.iter().zip([0.3, 0.8, 0.5, 0.3]) {
            assert!((found - truth).abs() <= 1e-5, "{pose:?}: {shares:?}");
        }
    }
}

#[test]
fn layers_thirty_points_apart_pass_and_beyond_that_are_asked_about() {
    for pose in TURNED {
        let severity = |shares| queries(&run(four_layers(pose, shares)), "uneven-copper").first().map(|q| q.severity);
        // 10 µm of strip is 0.05 points.
        assert_eq!(severity([0.3, 0.8, 0.6505, 0.3]), None, "{pose:?}");
        assert_eq!(severity([0.3, 0.8, 0.6495, 0.3]), Some(Severity::Note), "{pose:?}");
        assert_eq!(severity([0.3, 0.8, 0.5005, 0.3]), Some(Severity::Note), "{pose:?}");
        assert_eq!(severity([0.3, 0.8, 0.4995, 0.3]), Some(Severity::Ask), "{pose:?}");
        assert_eq!(severity([0.3, 0.8, 0.1, 0.3]), Some(Severity::Ask), "{pose:?}");
    }
}

#[test]
fn copper_beyond_the_edge_does_not_count() {
    for pose in POSES {
        let wide = [(0.0, -15_000.0), (15_000.0, -15_000.0), (15_000.0, 15_000.0), (0.0, 15_000.0)];
        let outside = [(11_000.0, 0.0), (14_000.0, 0.0), (14_000.0, 1000.0)];
        for (area, share) in [(&wide[..], 500_000), (&outside[..], 0)] {
            let board = run(copper(pose, &pose.area(area)));
            assert_eq!(board.facts.layers[0].coverage.as_ref().expect("an outline").share, share, "{pose:?}");
        }
    }
}

/// A board of 60 × 40 mm, copper on its left half. By hand: 12 × 8 cells of 5 mm, 8 × 4 windows of 5 × 5;
/// with the window's left edge on column 0 to 7, 5, 5, 4, 3, 2, 1, 0 and 0 of its columns are copper.
#[test]
fn windows_of_25_mm_move_by_5_mm() {
    for pose in POSES {
        let box_of =
            |x: f64| pose.area(&[(-30_000.0, -20_000.0), (x, -20_000.0), (x, 20_000.0), (-30_000.0, 20_000.0)]);
        let mut files = copper(pose, &box_of(0.0));
        files[2] = file("outline.gbr", pose.artwork("Profile,NP", &box_of(30_000.0)));
        let board = run(files);
        let coverage = board.facts.layers[0].coverage.clone().expect("an outline");
        let shares = (coverage.share, coverage.mean, coverage.windows);
        assert_eq!(shares, (500_000, 500_000, 32), "{pose:?}");
        assert_eq!(coverage.least.map(|w| w.share), Some(0), "{pose:?}");
        assert_eq!(coverage.most.map(|w| w.share), Some(1_000_000), "{pose:?}");
    }
}

/// Worked values for four layers in 1.6 mm: 0.00, 0.23 and 0.48 of the way from the middle to the face,
/// for outer copper of 45 µm, inner of 35 µm and 0.2 mm of dielectric under the outer layers.
#[test]
fn the_copper_s_centre_lies_where_the_worked_example_says() {
    let cases = [([0.3, 0.8, 0.8, 0.3], 0.0), ([0.3, 0.8, 0.2, 0.3], 0.23), ([0.7, 0.8, 0.2, 0.2], 0.48)];
    for (shares, truth) in cases {
        let heights = [0.7775, 0.5375, -0.5375, -0.7775];
        let by_hand: Vec<CopperInBuild> = (0..4)
            .map(|i| CopperInBuild {
                share: shares[i],
                thickness: if i % 3 == 0 { 0.045 } else { 0.035 },
                height: heights[i],
            })
            .collect();
        assert!((warp_index(&by_hand, 1.6) - truth).abs() < 0.005, "{shares:?}");
        let build = usual_build(&shares, 1_600_000, 18_000, 35_000);
        assert!((warp_index(&build, 1_600_000.0) - truth).abs() < 0.005, "{shares:?}: {build:?}");
    }
}
