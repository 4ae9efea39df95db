//! The real sets against what an independent program says of them.

use std::path::{Path, PathBuf};

use landgap_parser::drill::HitShape;
use landgap_rules::board::{Board, OutlineState, Role, Side};
use serde_json::Value;

use super::common::{doubts, measure, placed, read_set, shared};

fn expected() -> Option<(PathBuf, serde_json::Map<String, Value>)> {
    let boards = shared("boards")?;
    let text = std::fs::read_to_string(boards.join("EXPECTED.json")).expect("the expectations can be read");
    let Value::Object(sets) = serde_json::from_str(&text).expect("the expectations are JSON") else {
        panic!("an object of sets")
    };
    Some((boards, sets))
}

/// Every set, placed once, handed to `check` together with what is expected; gives all differences.
fn over_all(check: impl Fn(&Path, &Board, &Value) -> Vec<String>) -> Vec<String> {
    let Some((boards, sets)) = expected() else { return Vec::new() };
    let mut differences = Vec::new();
    for (name, expected) in &sets {
        let folder = boards.join(name);
        let board = placed(&read_set(&folder));
        differences.extend(check(&folder, &board, expected).into_iter().map(|d| format!("{name}: {d}")));
    }
    differences
}

fn assert_none(differences: &[String]) {
    assert!(differences.is_empty(), "{} differences:\n{}", differences.len(), differences.join("\n"));
}

/// The role in the words of the expectations; copper as `copper N`.
fn role_words(board: &Board, path: &str) -> Option<String> {
    let file = board.files.iter().find(|f| f.path == path)?;
    let side = match file.side {
        Some(Side::Top) => " top",
        Some(Side::Bottom) => " bot",
        _ => "",
    };
    Some(match file.role {
        Role::Copper => format!("copper {}", file.layer.unwrap_or(0)),
        Role::Mask | Role::Legend | Role::Paste => format!("{}{side}", file.role.word()),
        Role::Outline => "profile".to_owned(),
        Role::PlatedHoles => "drill pth".to_owned(),
        Role::UnplatedHoles => "drill npth".to_owned(),
        Role::Holes => "drill".to_owned(),
        Role::Drawing | Role::Other => "other".to_owned(),
        other => other.word().to_owned(),
    })
}

/// Expected copper numbers: `copper top`, `copper bot`, `copper N`, or inner layers by their own count.
fn expected_roles(expected: &Value) -> Vec<(String, String)> {
    let roles: Vec<(String, String)> = expected["roles"]
        .as_object()
        .into_iter()
        .flatten()
        .map(|(f, r)| (f.clone(), r.as_str().unwrap_or("").to_owned()))
        .collect();
    let count = roles.iter().filter(|r| r.1.starts_with("copper")).count();
    let inner =
        |role: &str| role.strip_prefix("copper ['inner', ").and_then(|r| r.trim_end_matches(']').parse::<u32>().ok());
    let mut inners: Vec<u32> = roles.iter().filter_map(|r| inner(&r.1)).collect();
    inners.sort_unstable();
    let number = |role: &str| match (role, inner(role)) {
        ("copper top", _) => "copper 1".to_owned(),
        ("copper bot", _) => format!("copper {count}"),
        (_, Some(n)) => format!("copper {}", inners.iter().position(|i| *i == n).unwrap_or(0) + 2),
        _ => role.to_owned(),
    };
    roles.into_iter().map(|(file, role)| (file, number(&role))).collect()
}

#[test]
fn roles_of_real_sets() {
    assert_none(&over_all(|_, board, expected| {
        let mut out = Vec::new();
        for (file, role) in expected_roles(expected) {
            let found = role_words(board, &file).unwrap_or_else(|| "not there".to_owned());
            // A drill file of which the reference did not say the plating may state it in its tools.
            if found != role && !(role == "drill" && found.starts_with("drill")) {
                out.push(format!("{file}: expected {role}, found {found}"));
            }
        }
        out.extend(board.files.iter().filter(|f| f.role == Role::Unclear).map(|f| format!("{} is unclear", f.path)));
        out
    }));
}

#[test]
fn outlines_of_real_sets() {
    assert_none(&over_all(|_, board, expected| {
        let outline = &expected["outline"];
        if outline.is_null() {
            let allowed = matches!(board.outline.state, OutlineState::Assumed | OutlineState::Missing);
            let doubt = doubts(board).contains(&"missing-outline");
            return if allowed && doubt {
                Vec::new()
            } else {
                vec![format!("an outline out of nowhere: {:?}", board.outline.state)]
            };
        }
        let (pieces, cutouts, area) = measure(board);
        let expected_area = outline["area_mm2"].as_f64().expect("an area");
        let mut out = Vec::new();
        if board.outline.state != OutlineState::Closed {
            out.push(format!("outline {:?}, {} open ends", board.outline.state, board.outline.open_ends.len()));
        }
        if (area - expected_area).abs() > expected_area * 1e-3 {
            out.push(format!("area {area:.4} against {expected_area:.4}"));
        }
        if Some(pieces) != outline["pieces"].as_u64() || Some(cutouts) != outline["cutouts"].as_u64() {
            out.push(format!(
                "{pieces} pieces and {cutouts} cut-outs against {} and {}",
                outline["pieces"], outline["cutouts"]
            ));
        }
        out
    }));
}

fn slots_without_length(path: &Path) -> u64 {
    let bytes = std::fs::read(path).expect("the file can be read");
    let text = String::from_utf8_lossy(&bytes);
    let dot = |line: &&str| line.trim().split_once("G85").is_some_and(|(from, to)| from == to);
    text.lines().filter(dot).count() as u64
}

#[test]
fn holes_of_real_sets() {
    assert_none(&over_all(|folder, board, expected| {
        let mut out = Vec::new();
        for drill in expected["drills"].as_array().into_iter().flatten() {
            let path = drill["file"].as_str().expect("a file name");
            let Some(file) = board.files.iter().position(|f| f.path == path) else { continue };
            let holes: Vec<_> = board.holes.iter().filter(|h| h.source.file as usize == file).collect();
            let round = holes.iter().filter(|h| matches!(h.shape, HitShape::Hole { .. })).count() as u64;
            let slots = holes.len() as u64 - round;
            let counted_elsewhere = board.assumptions.iter().any(|a| a.contains(&format!("holes of {path} stand in")));
            // A slot whose two ends are one point is a round hole; the reference counts it as a slot.
            let dots = slots_without_length(&folder.join(path));
            let (holes_meant, slots_meant) =
                (drill["holes"].as_u64().map(|n| n + dots), drill["slots"].as_u64().map(|n| n - dots));
            let same = Some(round) == holes_meant && Some(slots) == slots_meant;
            if !same && !counted_elsewhere {
                out.push(format!(
                    "{path}: {round} holes and {slots} slots against {} and {}",
                    drill["holes"], drill["slots"]
                ));
            }
            let tools: Vec<f64> =
                drill["tools"].as_object().into_iter().flatten().filter_map(|t| t.1.as_f64()).collect();
            for hole in holes.iter().filter(|_| !tools.is_empty()) {
                let um = hole.finished.map_or(0.0, |nm| nm as f64 / 1e3);
                if !tools.iter().any(|t| (t - um).abs() < 0.011) {
                    out.push(format!("{path}: a hole of {um} µm, tools are {tools:?}"));
                    break;
                }
            }
        }
        out
    }));
}

/// What a careful engineer would ask of the real sets; everything else would be a false alarm.
fn rightly_asked(set: &str) -> &'static [&'static str] {
    match set {
        // One copper layer of a board with vias, and nothing else.
        "board-006" => &["missing-drill", "missing-mask", "missing-outline"],
        "board-031" | "board-036" | "board-042" => &["missing-outline"],
        // Ground, power and signal layers with names of their own.
        "board-053" => &["unclear-layer-order"],
        // Objects of no size on copper and mask: told, not asked.
        "board-022" => &["unsized-aperture"],
        // Two boards of one size side by side, and a frame only in files that carry the name of an earlier
        // revision; objects of no size are told. Two places are hit with 1.100 mm and with 1.199 mm.
        "board-080" => &["array-or-single", "doubled-hole", "rival-sets", "unsized-aperture"],
        _ => &[],
    }
}

#[test]
fn real_sets_raise_no_false_doubts() {
    assert_none(&over_all(|folder, board, _| {
        let set = folder.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let found = doubts(board);
        if found == rightly_asked(&set) {
            return Vec::new();
        }
        board.doubts.iter().map(|d| format!("{}: {} {:?} {:?}", d.rule, d.seen, d.reasons, d.readings)).collect()
    }));
}
