//! Real sets with faults added: exactly the right doubt is raised.

use super::common::{doubts, placed, read_set, shared};

/// Doubts the planted set has beyond those of the set it was made from.
fn planted_doubts(kind: &str) -> Vec<(String, Vec<String>)> {
    let (Some(planted), Some(boards)) = (shared("planted"), shared("boards")) else { return Vec::new() };
    let mut names: Vec<String> = std::fs::read_dir(&planted)
        .expect("a folder")
        .flatten()
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    let mut out = Vec::new();
    for name in names.into_iter().filter(|n| n.contains(kind)) {
        let source = name.split('-').take(2).collect::<Vec<_>>().join("-");
        let before = doubts(&placed(&read_set(&boards.join(source))));
        let after = placed(&read_set(&planted.join(&name)));
        let mut left = before.clone();
        let new = after.doubts.iter().filter(|d| match left.iter().position(|r| *r == d.rule) {
            Some(at) => {
                left.remove(at);
                false
            }
            None => true,
        });
        out.push((name, new.map(|d| format!("{}: {}", d.rule, d.seen)).collect()));
    }
    out
}

fn assert_each_raises(kind: &str, rule: &str) {
    for (set, new) in planted_doubts(kind) {
        assert_eq!(new.len(), 1, "{set}: {new:?}");
        assert!(new[0].starts_with(rule), "{set}: {new:?}");
    }
}

#[test]
fn a_left_out_drill_file_is_missed() {
    assert_each_raises("drill_missing", "missing-drill");
}

#[test]
fn a_wrong_unit_is_noticed() {
    assert_each_raises("drill_unit", "unclear-drill-format");
}

#[test]
fn a_mirrored_layer_is_noticed() {
    assert_each_raises("mirror", "mirrored-layer");
}

#[test]
fn other_planted_faults_raise_nothing_here() {
    for (set, new) in planted_doubts("combined") {
        assert!(new.is_empty(), "{set}: {new:?}");
    }
}
