//! Known faults planted into real boards: each must be found at its place with its value.

mod support;

use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{Measured, judge};
use landgap_rules::geometry::distance::{Segment, point_segment};
use landgap_rules::query::{Query, QueryPlace, Verdict};
use serde_json::Value;
use support::{checking_data, json, measured, sets};

/// A fault lies at most this far from the place we name, in µm (the truth allows 50).
const NEAR_UM: f64 = 50.0;

/// (set, fault number, reason) of faults that cannot be found as planted.
const KNOWN: &[(&str, u64, &str)] = &[];

#[test]
fn every_planted_fault_is_found_at_its_place_with_its_value() {
    let Some(folder) = checking_data("planted") else { return };
    let only = std::env::var("ONLY").unwrap_or_default();
    let mut missed = Vec::new();
    let mut found = 0;
    for set in sets(&folder).into_iter().filter(|s| s.contains(&only)) {
        let truth = json(&folder.join(&set).join("truth.json"));
        let board = measured(&folder.join(&set));
        let verdict = judge(&board, &Capability::named("standard").expect("ships with the program"), &Order::default());
        println!("{set}: {} queries", verdict.queries.len());
        let nets = nets_expected(&folder, &truth);
        for defect in truth["defects"].as_array().expect("defects") {
            match look_for(defect, &board, &verdict, nets) {
                Ok(()) => found += 1,
                Err(reason) => {
                    println!("    {reason}");
                    missed.push((set.clone(), defect["id"].as_u64().unwrap_or(0), reason));
                }
            }
        }
    }
    println!("found {found}, missed {}", missed.len());
    missed.retain(|(set, id, _)| !KNOWN.iter().any(|(s, i, _)| s == set && i == id));
    assert!(missed.is_empty(), "missed {}:\n{:#?}", missed.len(), missed);
}

fn look_for(defect: &Value, board: &Measured, verdict: &Verdict, nets_expected: Option<i64>) -> Result<(), String> {
    let kind = defect["kind"].as_str().unwrap_or_default();
    let rules: &[&str] = match kind {
        "ring" | "hole_move" => &["thin-ring"],
        "gap" => &["tight-gap"],
        "neck" => &["narrow-track"],
        "mask_web" => &["thin-web"],
        "edge" => &["copper-near-edge"],
        "missing_pad" => &["padless-plated-hole", "thin-ring", "unclear-plating"],
        "drill_unit" => &["unclear-drill-format"],
        "drill_missing" => &["missing-drill"],
        "mirror" => &["mirrored-layer"],
        "open" | "short" => return nets(kind, board, nets_expected),
        other => return Err(format!("unknown kind {other}")),
    };
    let queries: Vec<&Query> = verdict.queries.iter().filter(|q| rules.contains(&q.rule)).collect();
    let whole_board = matches!(kind, "drill_unit" | "drill_missing" | "mirror");
    let (Some(x), Some(y), false) = (defect["x"].as_f64(), defect["y"].as_f64(), whole_board) else {
        return if queries.is_empty() { Err(format!("{kind}: no query of {rules:?}")) } else { Ok(()) };
    };
    let near: Vec<&QueryPlace> =
        queries.iter().flat_map(|q| &q.places).filter(|p| distance_um(p, x, y) <= NEAR_UM).collect();
    let Some(measured) = defect["measured_um"].as_f64() else {
        return if near.is_empty() { Err(format!("{kind} at {x}, {y}: not found")) } else { Ok(()) };
    };
    let tolerance = defect["tol_um"].as_f64().unwrap_or(3.0);
    let values: Vec<f64> = near.iter().filter_map(|p| p.drawn.or(p.measured)).map(|v| v as f64 / 1000.0).collect();
    let landless = kind == "missing_pad"
        && queries.iter().any(|q| q.rule != "thin-ring" && q.places.iter().any(|p| distance_um(p, x, y) <= NEAR_UM));
    if landless || values.iter().any(|v| (v - measured).abs() <= tolerance) {
        Ok(())
    } else {
        let elsewhere =
            queries.iter().flat_map(|q| &q.places).map(|p| (distance_um(p, x, y).round(), p.drawn.or(p.measured)));
        let nearest = elsewhere.reduce(|a, b| if b.0 < a.0 { b } else { a });
        Err(format!(
            "{kind} at {x}, {y} on layer {}: expected {measured}, found {values:?}, nearest {nearest:?}",
            defect["layer"]
        ))
    }
}

/// Distance from the place, either witness point, or the stretch along which the value holds, to the
/// planted point: where two sides run side by side, every point of the run is the planted one.
fn distance_um(place: &QueryPlace, x_mm: f64, y_mm: f64) -> f64 {
    let planted = (x_mm * 1e6, y_mm * 1e6);
    let ends = place.between.map(|(a, b)| [(a, a), (b, b)]).into_iter().flatten();
    std::iter::once((place.at, place.at))
        .chain(ends)
        .chain(place.run)
        .map(|(a, b)| point_segment(planted, Segment { a, b }).length / 1000.0)
        .fold(f64::INFINITY, f64::min)
}

/// Opens and shorts show in the number of nets: the source's own, and what each fault adds or takes.
fn nets_expected(folder: &std::path::Path, truth: &Value) -> Option<i64> {
    let boards = json(&folder.join("../boards/EXPECTED.json"));
    let before = boards[truth["source"].as_str()?]["nets"].as_i64()?;
    let change = |d: &Value| Some(d["nets_after"].as_i64()? - d["nets_before"].as_i64()?);
    Some(before + truth["defects"].as_array()?.iter().filter_map(change).sum::<i64>())
}

fn nets(kind: &str, board: &Measured, expected: Option<i64>) -> Result<(), String> {
    let found = board.facts.net_names.len() as i64;
    if expected == Some(found) { Ok(()) } else { Err(format!("{kind}: {found} nets, expected {expected:?}")) }
}
