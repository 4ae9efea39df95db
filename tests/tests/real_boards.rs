//! Real sets against an independent measuring program built on a general geometry library.
//!
//! Tolerances: areas 0.1 %, distances 1 µm. Where we differ, the difference stands in `KNOWN` with
//! its reason; a known difference that is gone fails too, so the list cannot rot.

mod support;

use landgap_rules::board::LayerRef;
use landgap_rules::check::Measured;
use landgap_rules::fact::FactKind;
use serde_json::Value;
use support::{checking_data, json, measured, sets};

/// (set, what, reason).
const TOUCHING: &str = "pieces that touch exactly (closed form: centre distance equals the sum of radii) are one island; \
    the other program draws curves inside the true ones and sees a gap";

const LANDLESS: &str = "four holes of 1.27 mm whose copper is no larger than the hole: by the usual house rule they are not \
    plated and join nothing; the other program plates every hole (4 holes x 3 joins = 12 nets, and its ring of -1.6 um)";

const KNOWN: &[(&str, &str, &str)] = &[
    ("board-053", "copper 1 islands", TOUCHING),
    ("board-080", "copper 1 islands", TOUCHING),
    ("board-031", "copper 3 islands", TOUCHING),
    ("board-031", "copper 5 islands", TOUCHING),
    ("board-031", "copper 8 islands", TOUCHING),
    ("board-031", "nets", LANDLESS),
    ("board-031", "least ring", LANDLESS),
];

struct Difference {
    what: String,
    found: String,
}

#[test]
fn areas_islands_gaps_and_rings_agree_with_an_independent_program() {
    let Some(folder) = checking_data("boards") else { return };
    let expected = json(&folder.join("EXPECTED.json"));
    let only = std::env::var("ONLY").unwrap_or_default();
    let mut unexplained = Vec::new();
    let mut explained = 0;
    for set in sets(&folder).into_iter().filter(|s| s.contains(&only)) {
        let started = std::time::Instant::now();
        let board = measured(&folder.join(&set));
        let differences = compare(&board, &expected[&set]);
        println!("{set}: {} ms, {} differences", started.elapsed().as_millis(), differences.len());
        for Difference { what, found } in differences {
            println!("    {what}: {found}");
            if KNOWN.iter().any(|(s, w, _)| *s == set && *w == what) {
                explained += 1;
            } else {
                unexplained.push(format!("{set}: {what}: {found}"));
            }
        }
    }
    assert!(unexplained.is_empty(), "{} differences without a reason:\n{}", unexplained.len(), unexplained.join("\n"));
    if only.is_empty() {
        assert_eq!(explained, KNOWN.len(), "a known difference is gone: take it off the list");
    }
}

fn compare(board: &Measured, expected: &Value) -> Vec<Difference> {
    let mut out = Vec::new();
    let layers = expected["copper"].as_array().map_or(&[][..], Vec::as_slice);
    if layers.len() != board.facts.layers.len() {
        out.push(difference("copper layers", board.facts.layers.len(), layers.len()));
        return out;
    }
    for layer in layers {
        let file = layer["file"].as_str().unwrap_or_default();
        let Some(position) = board.board.copper.iter().position(|l| board.board.files[l.file as usize].path == file)
        else {
            out.push(difference(&format!("{file} is copper"), "no", "yes"));
            continue;
        };
        compare_layer(board, layer, position, &mut out);
    }
    number(&mut out, "nets", board.facts.net_names.len() as f64, expected["nets"].as_f64(), 0.0);
    let ring = least(board, FactKind::RingDrawn, None);
    within(&mut out, "least ring", ring, expected["least_ring"]["um"].as_f64(), 500.0);
    out
}

fn compare_layer(board: &Measured, expected: &Value, position: usize, out: &mut Vec<Difference>) {
    let facts = &board.facts.layers[position];
    let name = |what: &str| format!("copper {} {what}", facts.layer);
    let area = expected["area_mm2"].as_f64().unwrap_or(0.0);
    if (facts.copper_mm2 - area).abs() > area * 0.001 {
        out.push(difference(&name("area"), facts.copper_mm2, area));
    }
    number(out, &name("islands"), f64::from(facts.islands), expected["islands"].as_f64(), 0.0);
    let gap = least(board, FactKind::Gap, Some(facts.layer));
    within(out, &name("least gap"), gap, expected["least_gap_different_nets_below_200um"]["um"].as_f64(), 200.0);
}

/// Least fact in µm.
fn least(board: &Measured, kind: FactKind, layer: Option<u32>) -> Option<f64> {
    board
        .facts
        .of(kind)
        .filter(|f| layer.is_none() || f.layer == layer.map(LayerRef::Copper))
        .map(|f| f.value as f64 / 1000.0)
        .reduce(f64::min)
}

/// Compares a least value; one that is absent lies beyond `horizon`.
fn within(out: &mut Vec<Difference>, what: &str, found: Option<f64>, expected: Option<f64>, horizon: f64) {
    match (found.filter(|v| *v < horizon - 1.0), expected.filter(|v| *v < horizon - 1.0)) {
        (Some(a), Some(b)) if (a - b).abs() <= 1.0 => {}
        (None, None) => {}
        (a, b) => out.push(difference(what, format!("{a:?} µm"), format!("{b:?} µm"))),
    }
}

fn number(out: &mut Vec<Difference>, what: &str, found: f64, expected: Option<f64>, tolerance: f64) {
    if expected.is_some_and(|e| (e - found).abs() > tolerance) {
        out.push(difference(what, found, expected.unwrap_or_default()));
    }
}

fn difference(what: &str, found: impl std::fmt::Display, expected: impl std::fmt::Display) -> Difference {
    Difference { what: what.to_string(), found: format!("{found}, expected {expected}") }
}
