//! `landgap compare` on edited copies of the small board: each edit is found, each query gets its verdict.

mod small_board;

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use small_board::Folder;

fn landgap(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_landgap")).args(arguments).output().unwrap()
}

fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}

/// A copy of the board with edits: in which file, what, by what.
fn board(name: &str, edits: &[(&str, &str, &str)]) -> Folder {
    let folder = Folder::new(name);
    for (file, mut text) in small_board::files() {
        for (_, from, to) in edits.iter().filter(|(in_file, _, _)| *in_file == file) {
            assert!(text.contains(from), "{file} holds no {from}");
            text = text.replace(from, to);
        }
        folder.write(file, text);
    }
    folder
}

/// The whole board moved, in every file.
fn moved(name: &str, by_um: (i64, i64)) -> Folder {
    let folder = Folder::new(name);
    for (file, text) in small_board::files() {
        let lines: Vec<String> = text.lines().map(|l| shifted(l, by_um)).collect();
        folder.write(file, lines.join("\n") + "\n");
    }
    folder
}

fn shifted(line: &str, (dx, dy): (i64, i64)) -> String {
    let Some((x, rest)) = line.strip_prefix('X').and_then(|l| l.split_once('Y')) else { return line.to_owned() };
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    let (y, tail) = rest.split_at(end);
    if x.contains('.') {
        let add = |v: &str, d: i64| v.parse::<f64>().unwrap() + d as f64 / 1000.0;
        format!("X{:.3}Y{:.3}{tail}", add(x, dx), add(y, dy))
    } else {
        let add = |v: &str, d: i64| v.parse::<i64>().unwrap() + d * 1000;
        format!("X{}Y{}{tail}", add(x, dx), add(y, dy))
    }
}

fn compared(old: &Folder, new: &Folder) -> (Value, i32) {
    let run = landgap(&["compare", path(&old.0), path(&new.0), "--format", "json"]);
    let value: Value =
        serde_json::from_slice(&run.stdout).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&run.stderr)));
    let schema: Value = serde_json::from_str(landgap_server::wire::compared::COMPARISON_SCHEMA).unwrap();
    let faults: Vec<String> = jsonschema::validator_for(&schema)
        .unwrap()
        .iter_errors(&value)
        .map(|e| format!("{}: {e}", e.instance_path))
        .collect();
    assert!(faults.is_empty(), "{faults:#?}");
    (value, run.status.code().unwrap())
}

fn became<'v>(value: &'v Value, rule: &str) -> Vec<&'v str> {
    let rows = value["queries"].as_array().unwrap().iter();
    rows.filter(|q| q["rule"] == rule).map(|q| q["became"].as_str().unwrap()).collect()
}

fn layer<'v>(value: &'v Value, name: &str) -> Option<&'v Value> {
    value["layers"].as_array().unwrap().iter().find(|l| l["layer"] == name)
}

const TRACK: &str = "board-copper-top.gbr";
const DRILL: &str = "board-plated.drl";

#[test]
fn the_same_set_has_no_difference_and_its_queries_stand() {
    let (old, new) = (board("same-old", &[]), board("same-new", &[]));
    let (value, code) = compared(&old, &new);
    assert_eq!((code, value["unasked"].as_u64()), (1, Some(0)));
    assert_eq!(became(&value, "tight-gap"), ["still there"]);
    assert!(value["layers"].as_array().unwrap().is_empty() && value["holes"].as_array().unwrap().is_empty());
    assert_eq!(value["unchanged"].as_array().unwrap().len(), 5, "{}", value["unchanged"]);
}

#[test]
fn a_board_moved_as_a_whole_is_the_same_board() {
    let (old, new) = (board("moved-old", &[]), moved("moved-new", (12_700, -3_175)));
    let (value, _) = compared(&old, &new);
    assert_eq!(value["shift_um"], serde_json::json!([12_700, -3_175]));
    assert_eq!(became(&value, "tight-gap"), ["still there"]);
    assert!(value["layers"].as_array().unwrap().is_empty(), "{:#}", value["layers"]);
    assert!(value["holes"].as_array().unwrap().is_empty() && value["nets"].as_array().unwrap().is_empty());
}

#[test]
fn a_gap_that_was_widened_is_gone_and_the_change_was_asked_for() {
    let (old, new) = (board("gone-old", &[]), board("gone-new", &[(TRACK, "X5760000", "X6200000")]));
    let (value, _) = compared(&old, &new);
    assert_eq!(became(&value, "tight-gap"), ["gone"], "{:#}", value["queries"]);
    let top = layer(&value, "copper 1").expect("the track moved");
    assert!(top["regions"].as_array().unwrap().iter().all(|r| r["asked"] == true), "{top:#}");
    // The track of 6 mm and 0.2 mm moved by 0.44 mm: all of its area came, and as much went.
    let area: f64 = 6.0 * 0.2 + std::f64::consts::PI * 0.01;
    let sum = |key: &str| top["regions"].as_array().unwrap().iter().map(|r| r[key].as_f64().unwrap()).sum::<f64>();
    assert!((sum("added_mm2") - area).abs() < 1e-3 && (sum("removed_mm2") - area).abs() < 1e-3, "{top:#}");
    assert_eq!(value["unasked"], 0);
}

#[test]
fn better_and_worse_carry_both_values() {
    let old = board("value-old", &[]);
    let better = compared(&old, &board("better-new", &[(TRACK, "X5760000", "X5795000")]));
    assert_eq!(became(&better.0, "tight-gap"), ["better"]);
    let row = &better.0["queries"].as_array().unwrap().iter().find(|q| q["rule"] == "tight-gap").unwrap().clone();
    let value = |key: &str| row[key].as_f64().unwrap();
    assert!((value("measured_old_um") - 60.0).abs() < 0.5 && (value("measured_new_um") - 95.0).abs() < 0.5, "{row:#}");
    assert_eq!((row["severity_old"].as_str(), row["severity_new"].as_str()), (Some("stop"), Some("ask")));
    let worse = compared(&old, &board("worse-new", &[(TRACK, "X5760000", "X5740000")]));
    assert_eq!(became(&worse.0, "tight-gap"), ["worse"]);
}

#[test]
fn what_nobody_asked_for_is_listed_and_nothing_else() {
    let old = board("else-old", &[]);
    let new = board(
        "else-new",
        &[
            (DRILL, "X15.000Y5.000\n", "X15.000Y5.000\nX18.000Y8.000\n"),
            (DRILL, "T1C0.600", "T1C0.600"),
            (TRACK, "X15000000Y5000000D03*\n", "X15000000Y5000000D03*\nX18000000Y8000000D03*\n"),
            ("board-copper-bottom.gbr", "X15000000Y5000000D03*\n", "X15000000Y5000000D03*\nX18000000Y8000000D03*\n"),
        ],
    );
    let (value, _) = compared(&old, &new);
    let added: Vec<&Value> = value["holes"].as_array().unwrap().iter().collect();
    assert_eq!(added.len(), 1, "{added:#?}");
    assert_eq!(
        (added[0]["changed"].as_str(), &added[0]["at_um"]),
        (Some("added"), &serde_json::json!([18_000, 8_000]))
    );
    let changed: Vec<&str> = value["layers"].as_array().unwrap().iter().map(|l| l["layer"].as_str().unwrap()).collect();
    assert_eq!(changed, ["copper 1", "copper 2"]);
    assert_eq!(value["unasked"], 3, "a hole and its two lands");
    let text = landgap(&["compare", path(&old.0), path(&new.0)]);
    let text = String::from_utf8_lossy(&text.stdout).into_owned();
    assert!(text.contains("3 changes that nobody asked for") && text.contains("hole added"), "{text}");
}

#[test]
fn holes_resized_moved_and_removed_are_told_apart() {
    let old = board("holes-old", &[]);
    for (edit, word) in [
        (("T1C0.600", "T1C0.700"), "resized"),
        (("X15.000Y5.000", "X15.040Y5.000"), "moved"),
        (("X15.000Y5.000\n", ""), "removed"),
    ] {
        let new = board(&format!("holes-{word}"), &[(DRILL, edit.0, edit.1)]);
        let (value, _) = compared(&old, &new);
        let words: Vec<&str> =
            value["holes"].as_array().unwrap().iter().map(|h| h["changed"].as_str().unwrap()).collect();
        assert!(words.iter().all(|w| *w == word) && !words.is_empty(), "{word}: {words:?}");
    }
}

#[test]
fn nets_joined_and_split_are_named() {
    let old = board("net-old", &[]);
    let bridge = "X5760000Y8000000D01*\nX5000000Y5000000D02*\nX5760000Y5000000D01*\n";
    let land = |text: &'static str| (TRACK, "%TO.N,BETWEEN*%\nD11*\n", text);
    let with_land = board("net-land", &[land("%TO.N,BETWEEN*%\nD10*\nX5760000Y8000000D03*\nD11*\n")]);
    let joined = board(
        "net-joined",
        &[land("%TO.N,BETWEEN*%\nD10*\nX5760000Y8000000D03*\nD11*\n"), (TRACK, "X5760000Y8000000D01*\n", bridge)],
    );
    let (value, _) = compared(&with_land, &joined);
    let nets = value["nets"].as_array().unwrap();
    assert_eq!(nets.len(), 1, "{nets:#?}");
    assert_eq!(nets[0]["changed"], "joined");
    let mut parts: Vec<&str> = nets[0]["parts"].as_array().unwrap().iter().map(|p| p.as_str().unwrap()).collect();
    parts.sort_unstable();
    assert_eq!(parts, ["BETWEEN", "LEFT"]);
    let (value, _) = compared(&joined, &with_land);
    assert_eq!(value["nets"][0]["changed"], "split");
    drop(old);
}

#[test]
fn the_exit_code_counts_what_is_open_and_bad_sets_have_no_verdict() {
    let (old, empty) = (board("code-old", &[]), Folder::new("code-empty"));
    let wide = board("code-wide", &[(TRACK, "X5760000", "X6200000")]);
    let run = |arguments: &[&str]| landgap(arguments).status.code().unwrap();
    assert_eq!(run(&["compare", path(&old.0), path(&wide.0), "--fail-on", "stop"]), 0);
    assert_eq!(run(&["compare", path(&wide.0), path(&old.0), "--fail-on", "stop"]), 1);
    assert_eq!(run(&["compare", path(&old.0), path(&empty.0)]), 2);
    assert_eq!(run(&["compare", path(&old.0)]), 3);
}
