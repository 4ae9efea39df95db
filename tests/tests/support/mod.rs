//! Shared by tests that look at whole sets of files.

#![allow(dead_code, reason = "each test file uses part of it")]

use std::path::{Path, PathBuf};

use landgap_parser::Limits;
use landgap_rules::check::{InputFile, Measured, Told, measure};
use serde_json::Value;

/// The folder with real boards for checking, if this machine has it.
pub fn checking_data(part: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared").join(part);
    if path.is_dir() {
        return Some(path);
    }
    println!("skipped: the checking data ({part}) are not on this machine");
    None
}

/// The repository's own demo and sample data.
pub fn corpus(part: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus").join(part)
}

/// All files of a folder, in order of name.
pub fn folder(path: &Path) -> Vec<InputFile> {
    let mut files: Vec<InputFile> = std::fs::read_dir(path)
        .unwrap_or_else(|e| panic!("{}: {e}", path.display()))
        .map(|entry| entry.expect("readable entry").path())
        .filter(|p| p.is_file() && p.file_name().is_some_and(|n| n != "truth.json" && n != "truth.toml"))
        .map(|p| InputFile {
            path: p.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default(),
            bytes: std::fs::read(&p).expect("readable file"),
        })
        .collect();
    files.sort_by(|a, b| a.path.cmp(&b.path));
    files
}

/// Reads, places and measures a folder.
pub fn measured(path: &Path) -> Measured {
    measure(&folder(path), &Told::new(), &Limits::default(), &|_| {})
}

/// Reads a JSON file.
pub fn json(path: &Path) -> Value {
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Names of the sub-folders, in order.
pub fn sets(path: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(path)
        .expect("readable folder")
        .map(|e| e.expect("readable entry"))
        .filter(|e| e.path().is_dir())
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}
