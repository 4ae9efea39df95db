//! The committed demo boards are what their program writes, byte for byte, and keep what it promises.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use landgap_tests::tarn_row;

fn committed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus/tarn-row")
}

fn read_all(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut out = BTreeMap::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(here) = open.pop() {
        for entry in std::fs::read_dir(&here).expect("the corpus folder is readable") {
            let path = entry.expect("its entries are readable").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below the folder").to_string_lossy().replace('\\', "/");
                out.insert(name, std::fs::read(&path).expect("the file is readable"));
            }
        }
    }
    out
}

#[test]
fn committed_files_are_what_the_program_writes() {
    let target = std::env::temp_dir().join(format!("landgap-corpus-{}", std::process::id()));
    tarn_row::write(&target).expect("the boards can be written");
    let fresh = read_all(&target);
    std::fs::remove_dir_all(&target).expect("the temporary folder can be removed");
    let kept = read_all(&committed());
    let names = |set: &BTreeMap<String, Vec<u8>>| set.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&kept), names(&fresh), "run: cargo run -p landgap-tests --bin tarn_row -- corpus/tarn-row");
    for (name, bytes) in &fresh {
        assert!(
            kept[name] == *bytes,
            "{name} differs; run: cargo run -p landgap-tests --bin tarn_row -- corpus/tarn-row"
        );
    }
}

#[test]
fn faulty_set_differs_from_the_sound_one_only_where_the_truth_says() {
    let files: BTreeMap<String, String> = tarn_row::files().expect("the boards can be made").into_iter().collect();
    let truth = &files["buoy-logger-faults/truth.toml"];
    for (path, text) in &files {
        let Some(name) = path.strip_prefix("buoy-logger/") else { continue };
        let same = files[&format!("buoy-logger-faults/{name}")] == *text;
        let must_stay = ["legend", "paste", "outline"].iter().any(|word| name.contains(word));
        assert!(!must_stay || same, "{name} must not change");
        assert!(!truth.contains(&format!("file = \"{name}\"")) || !same, "{name} carries a fault but did not change");
    }
}

#[test]
fn every_rule_of_the_truth_is_planted_at_least_once() {
    let files: BTreeMap<String, String> = tarn_row::files().expect("the boards can be made").into_iter().collect();
    let truth = &files["buoy-logger-faults/truth.toml"];
    for rule in [
        "thin-ring",
        "tight-gap",
        "narrow-track",
        "thin-web",
        "copper-near-edge",
        "copper-near-hole",
        "holes-too-close",
        "hole-near-edge",
        "padless-plated-hole",
        "small-hole",
    ] {
        assert!(truth.contains(&format!("rule = \"{rule}\"")), "{rule} is not planted");
    }
}
