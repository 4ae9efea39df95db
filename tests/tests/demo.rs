//! The Tarn Row demo: sound boards raise nothing, planted faults are found where the generator put them.
//!
//! The truth is the generator's own arithmetic (closed form), not our measuring.

mod support;

use landgap_rules::board::LayerRef;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{Measured, judge};
use landgap_rules::query::{QueryPlace, Severity, Verdict};
use support::{corpus, measured};

fn order() -> Order {
    let text = std::fs::read_to_string(corpus("tarn-row/order.toml")).expect("the demo's order");
    Order::parse("order.toml", &text).expect("a valid order")
}

fn verdict(board: &Measured) -> Verdict {
    judge(board, &Capability::named("standard").expect("ships with the program"), &order())
}

#[test]
fn sound_boards_raise_no_query_at_all() {
    // The tide gauge comes without a netlist, which is told and needs no answer.
    // The logger has few tracks on wide outer layers, which is told too.
    let sparse = [("uneven-copper", Severity::Note)];
    let gauge = [("dead-copper", Severity::Note), ("no-netlist", Severity::Note), sparse[0]];
    for (board, told) in [("buoy-logger", &sparse[..]), ("tide-gauge", &gauge)] {
        let queries = verdict(&measured(&corpus("tarn-row").join(board))).queries;
        let raised: Vec<_> = queries.iter().map(|q| (q.rule, q.severity)).collect();
        assert_eq!(raised, told, "{board}");
    }
}

/// One planted fault of the truth file.
struct Fault {
    rule: String,
    layer: Option<u32>,
    at: (f64, f64),
    measured_um: Option<f64>,
    tol_um: f64,
    near_um: f64,
}

fn faults() -> Vec<Fault> {
    let text = std::fs::read_to_string(corpus("tarn-row/buoy-logger-faults/truth.toml")).expect("the demo's truth");
    let table: toml::Table = text.parse().expect("valid TOML");
    let number =
        |f: &toml::Value, key: &str| f.get(key).and_then(|v| v.as_float().or(v.as_integer().map(|i| i as f64)));
    let list = table["fault"].as_array().expect("faults");
    list.iter()
        .map(|f| Fault {
            rule: f["rule"].as_str().expect("rule").into(),
            layer: f.get("layer").and_then(toml::Value::as_integer).map(|l| l as u32),
            at: (number(f, "x_um").expect("x_um"), number(f, "y_um").expect("y_um")),
            measured_um: number(f, "measured_um"),
            tol_um: number(f, "tol_um").unwrap_or(1.0),
            near_um: number(f, "near_um").unwrap_or(50.0),
        })
        .collect()
}

fn is_fault(place: &QueryPlace, fault: &Fault) -> bool {
    let near =
        (place.at.x as f64 / 1000.0 - fault.at.0).hypot(place.at.y as f64 / 1000.0 - fault.at.1) <= fault.near_um;
    let layer = match (fault.layer, place.layer) {
        (Some(number), Some(LayerRef::Copper(found))) => number == found,
        _ => true,
    };
    let value = fault.measured_um.is_none_or(|um| {
        place.drawn.or(place.measured).is_some_and(|v| (v as f64 / 1000.0 - um).abs() <= fault.tol_um)
    });
    near && layer && value
}

#[test]
fn every_planted_fault_is_found_and_nothing_else_is_asked() {
    let verdict = verdict(&measured(&corpus("tarn-row/buoy-logger-faults")));
    let faults = faults();
    assert!(faults.len() >= 12);
    for fault in &faults {
        let found =
            verdict.queries.iter().filter(|q| q.rule == fault.rule).flat_map(|q| &q.places).any(|p| is_fault(p, fault));
        assert!(found, "{} at {:?} is not found", fault.rule, fault.at);
    }
    // The land taken away round a plated hole is also a point of the netlist; the sound board is told to be sparse.
    let follows = ["open", "uneven-copper"];
    for query in verdict.queries.iter().filter(|q| !follows.contains(&q.rule)) {
        assert!(faults.iter().any(|f| f.rule == query.rule), "nobody planted this: {}", query.title);
    }
}

#[test]
fn the_same_data_give_the_same_verdict_at_any_number_of_threads() {
    // The work is shared out over the machine's threads in whatever order they come; compare many runs.
    let first = format!("{:?}", verdict(&measured(&corpus("tarn-row/buoy-logger-faults"))));
    for _ in 0..5 {
        assert_eq!(first, format!("{:?}", verdict(&measured(&corpus("tarn-row/buoy-logger-faults")))));
    }
}
