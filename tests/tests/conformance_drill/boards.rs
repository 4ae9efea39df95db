//! Real boards against an independent measuring program: counts of hits and sizes of tools.
//!
//! The boards are for checking only and stand outside the repository; without them this passes with a message.

use std::path::{Path, PathBuf};

use landgap_parser::Limits;
use landgap_parser::drill::{self, HitShape, HoleImage};
use serde_json::Value;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/boards")
}

fn sizes(image: &HoleImage) -> Vec<(u32, f64)> {
    let used = |index: usize| image.hits.iter().any(|h| h.tool as usize == index);
    let tools = image.tools.iter().enumerate().filter(|(index, _)| used(*index));
    let mut out: Vec<_> = tools.map(|(_, t)| (t.number, t.diameter.map_or(-1.0, |d| d as f64 / 1e3))).collect();
    out.sort_by_key(|t| t.0);
    out
}

fn expected_sizes(drill: &Value) -> Vec<(u32, f64)> {
    let tools = drill["tools"].as_object().expect("tools");
    let mut out: Vec<_> =
        tools.iter().map(|(n, d)| (n.parse().expect("a number"), d.as_f64().expect("a size"))).collect();
    out.sort_by_key(|t| t.0);
    out
}

fn slots_of_no_length(bytes: &[u8]) -> usize {
    let text = String::from_utf8_lossy(bytes);
    text.lines().filter_map(|line| line.trim().split_once("G85")).filter(|(from, to)| from == to).count()
}

/// Differences of one file, in words.
fn differences(board: &str, drill: &Value) -> Option<String> {
    let file = drill["file"].as_str().expect("a file name");
    let bytes = std::fs::read(folder().join(board).join(file)).expect("the file is readable");
    let limits = Limits::default();
    let program = drill::read(&bytes, &limits).expect("within limits");
    let wanted = expected_sizes(drill);
    let count = |name: &str| drill[name].as_u64().expect("a count") as usize;
    // A slot whose two axes are one point is a hole here, and a slot there.
    let points = slots_of_no_length(&bytes);
    let (holes, slots) = (count("holes") + points, count("slots") - points);
    let assumption = drill["assumption"].as_str().unwrap_or_default();
    if assumption == "layer format" {
        return None;
    }
    let mut tried = Vec::new();
    for format in program.candidates() {
        let image = program.decode(&format, &limits).expect("within limits");
        let is_hole = |shape: &HitShape| matches!(shape, HitShape::Hole { .. });
        let found_holes = image.hits.iter().filter(|h| is_hole(&h.shape)).count();
        let found = sizes(&image);
        let near = |(a, b): (&(u32, f64), &(u32, f64))| a.0 == b.0 && (a.1 - b.1).abs() < 0.006;
        let same_tools = found.len() == wanted.len() && found.iter().zip(&wanted).all(near);
        if found_holes == holes && image.hits.len() - found_holes == slots && same_tools {
            return None;
        }
        tried.push(format!("{}: {found_holes}+{} {found:?}", format.words(), image.hits.len() - found_holes));
    }
    Some(format!("{board}/{file}: wanted {holes}+{slots} {wanted:?} ({assumption}), read {tried:#?}"))
}

#[test]
fn real_boards_give_the_counts_and_sizes_measured_elsewhere() {
    let Ok(text) = std::fs::read_to_string(folder().join("EXPECTED.json")) else {
        eprintln!("skipped: the checking boards are not beside the repository");
        return;
    };
    let expected: Value = serde_json::from_str(&text).expect("valid JSON");
    let mut wrong = Vec::new();
    let mut checked = 0;
    for (board, facts) in expected.as_object().expect("an object") {
        for drill in facts["drills"].as_array().into_iter().flatten() {
            checked += 1;
            wrong.extend(differences(board, drill));
        }
    }
    assert!(checked > 0, "no drill file was checked");
    assert!(wrong.is_empty(), "{} of {checked} differ:\n{}", wrong.len(), wrong.join("\n"));
}
