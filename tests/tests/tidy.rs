//! The house stays as the guide says: which crate may know which, and who may touch the outside world.

use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Names of our own crates among a crate's dependencies.
fn own_dependencies(krate: &str) -> Vec<String> {
    let manifest: toml::Table = read(&root().join(krate).join("Cargo.toml")).parse().expect("valid manifest");
    let table = manifest["dependencies"].as_table().expect("dependencies");
    table.keys().filter(|k| k.starts_with("landgap-")).cloned().collect()
}

#[test]
fn crates_know_only_those_below_them() {
    assert_eq!(own_dependencies("parser"), [""; 0]);
    assert_eq!(own_dependencies("rules"), ["landgap-parser"]);
    let server = own_dependencies("server");
    assert!(server.iter().all(|d| d == "landgap-parser" || d == "landgap-rules"), "{server:?}");
}

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("readable folder") {
        let path = entry.expect("readable entry").path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

#[test]
fn nothing_below_the_server_touches_files_network_or_clock() {
    let mut files = Vec::new();
    for krate in ["parser/src", "rules/src"] {
        sources(&root().join(krate), &mut files);
    }
    assert!(files.len() > 100, "the sources were not found");
    for file in files {
        let text = read(&file);
        for word in ["std::fs", "std::net", "std::time", "std::env", "SystemTime", "println!", "std::process"] {
            assert!(!text.contains(word), "{} uses {word}", file.display());
        }
    }
}

#[test]
fn only_one_file_knows_the_boolean_library() {
    let mut files = Vec::new();
    sources(&root().join("rules/src"), &mut files);
    let knowing: Vec<_> = files.iter().filter(|f| read(f).contains("use i_overlay")).collect();
    assert_eq!(knowing.len(), 1, "{knowing:?}");
    assert!(knowing[0].ends_with("geometry/engine.rs"));
}

#[test]
fn every_rule_has_its_page_beside_it() {
    let mut files = Vec::new();
    sources(&root().join("rules/src/rule"), &mut files);
    let rules: Vec<_> = files.iter().filter(|f| read(f).contains("pub(super) const RULE: Rule")).collect();
    assert!(rules.len() >= 25, "{} rules", rules.len());
    for rule in rules {
        assert!(rule.with_extension("md").exists(), "{} has no page", rule.display());
    }
}

#[test]
fn every_doubt_names_a_rule_that_exists() {
    let known: Vec<&str> = landgap_rules::rule::registry().iter().map(|r| r.name).collect();
    let mut files = Vec::new();
    for part in ["place", "recognise", "measure"] {
        sources(&root().join("rules/src").join(part), &mut files);
    }
    let mut named = 0;
    for file in files {
        for piece in read(&file).split("rule: \"").skip(1) {
            let rule = piece.split('"').next().unwrap_or_default();
            assert!(known.contains(&rule), "{} raises \"{rule}\", which no rule asks about", file.display());
            named += 1;
        }
    }
    assert!(named >= 15, "{named} doubts found");
}
