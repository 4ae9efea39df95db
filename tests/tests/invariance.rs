//! What must not matter: how many threads work, in what order files come, where a board lies and how
//! it is turned.

#[path = "support/pose.rs"]
mod pose;
#[path = "support/mod.rs"]
mod support;

use std::collections::BTreeMap;

use landgap_parser::Limits;
use landgap_rules::board::LayerRef;
use landgap_rules::check::{InputFile, Told, measure};
use landgap_rules::fact::FactKind;
use landgap_rules::threads;
use pose::{POSES, Pose, copper, file, run};
use support::{corpus, folder};

/// Everything measured, as text; files by name, because their numbers follow their order.
fn told(files: &[InputFile]) -> String {
    let measured = measure(files, &Told::new(), &Limits::default(), &|_| {});
    let name = |file: u32| measured.board.files[file as usize].path.clone();
    let mut out = String::new();
    for fact in &measured.facts.facts {
        let sources: Vec<_> = fact.sources.iter().map(|s| (name(s.file), s.line)).collect();
        let place = (fact.from, fact.to, fact.run, fact.length);
        out += &format!("{:?} {:?} {} {} {place:?} {sources:?}\n", fact.kind, fact.layer, fact.value, fact.uncertainty);
    }
    out + &format!("{:?} {:?}\n", measured.facts.layers, measured.facts.net_names)
}

#[test]
fn one_two_and_eight_threads_say_the_same() {
    for board in ["tarn-row/buoy-logger", "tarn-row/buoy-logger-faults"] {
        let files = folder(&corpus(board));
        let with = |count: usize| {
            threads::limit(Some(count));
            told(&files)
        };
        let one = with(1);
        assert!(one.lines().count() > 100, "{board} has facts to compare");
        assert_eq!(one, with(2), "{board}: two threads");
        assert_eq!(one, with(8), "{board}: eight threads");
        threads::limit(None);
    }
}

#[test]
fn the_order_of_files_does_not_matter() {
    let files = folder(&corpus("tarn-row/buoy-logger"));
    let plain = told(&files);
    let backwards: Vec<InputFile> = files.iter().rev().cloned().collect();
    let mut turned = files.clone();
    turned.rotate_left(files.len() / 2);
    assert_eq!(plain, told(&backwards));
    assert_eq!(plain, told(&turned));
}

/// Tracks with bends between lands, a hole in every land, and a fan of slanted tracks.
fn scene(pose: Pose, shift: (f64, f64)) -> Vec<InputFile> {
    let at = |x: f64, y: f64| (x + shift.0, y + shift.1);
    let (mut body, mut holes, mut number) = (String::new(), Vec::new(), 10);
    let mut next = || {
        number += 1;
        number
    };
    for row in 0..7 {
        let y = -4200.0 + 1100.0 * f64::from(row);
        let (left, bend, right) = (at(-5000.0, y), at(-1000.0 + 130.0 * f64::from(row), y), at(4000.0, y + 731.0));
        let width = 100.0 + 17.0 * f64::from(row);
        body += &pose.track(width, left, bend, next());
        body += &pose.track(width, bend, right, next());
        for end in [left, right] {
            body += &pose.disc(600.0 + 30.0 * f64::from(row), end, next());
            holes.push((300.0, end.0 + 13.0, end.1 - 7.0));
        }
    }
    let mut files = copper(pose, &body);
    files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &body));
    files.push(file("plated.xnc", pose.drill(&holes, true)));
    files
}

/// The least value of every kind, layer and pair of nets, in order of value: nets are numbered by place.
fn least(files: Vec<InputFile>) -> Vec<(FactKind, Option<LayerRef>, i64)> {
    let measured = run(files);
    let mut least: BTreeMap<_, i64> = BTreeMap::new();
    for f in measured.facts.facts.iter().filter(|f| !matches!(f.kind, FactKind::CopperToEdge | FactKind::HoleToEdge)) {
        let value = least.entry((f.kind, f.layer, f.nets.clone(), f.holes.len())).or_insert(f.value);
        *value = f.value.min(*value);
    }
    let mut out: Vec<_> = least.into_iter().map(|((kind, layer, _, _), value)| (kind, layer, value)).collect();
    out.sort();
    out
}

/// Corners of flattened arcs are rounded to the nanometre, each end of a distance by itself.
const ROUNDING: i64 = 2;

fn assert_same(plain: &[(FactKind, Option<LayerRef>, i64)], other: &[(FactKind, Option<LayerRef>, i64)], what: &str) {
    assert_eq!(plain.len(), other.len(), "{what}: as many facts");
    for (a, b) in plain.iter().zip(other) {
        assert_eq!((a.0, a.1), (b.0, b.1), "{what}");
        assert!((a.2 - b.2).abs() <= ROUNDING, "{what}: {a:?}, {b:?}");
    }
}

#[test]
fn quarter_turns_and_mirrors_change_no_value() {
    let plain = least(scene(POSES[0], (0.0, 0.0)));
    for kind in [FactKind::Gap, FactKind::Width, FactKind::RingDrawn] {
        assert!(plain.iter().any(|f| f.0 == kind), "the scene has a {}", kind.word());
    }
    for pose in &POSES[1..4] {
        assert_same(&plain, &least(scene(*pose, (0.0, 0.0))), &format!("{pose:?}"));
    }
}

#[test]
fn a_shift_changes_no_value() {
    let plain = least(scene(POSES[0], (0.0, 0.0)));
    for shift in [(1234.567, -2345.678), (-3000.001, 2999.999)] {
        assert_same(&plain, &least(scene(POSES[0], shift)), &format!("{shift:?}"));
    }
}
