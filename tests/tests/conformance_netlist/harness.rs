//! The public door of the netlist reader, with the few questions the tests ask.

use std::fs;
use std::path::{Path, PathBuf};

use landgap_parser::netlist::{self, Netlist, TestPoint};
use landgap_parser::{Limits, Point, Severity};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus/conformance/netlist")
}

/// Every file of the folder, by chapter and name.
pub fn all_files() -> Vec<(String, Vec<u8>)> {
    let entries = |at: &Path| {
        let list = fs::read_dir(at).unwrap_or_else(|e| panic!("{}: {e}", at.display()));
        let mut list: Vec<PathBuf> = list.map(|e| e.expect("a readable entry").path()).collect();
        list.sort();
        list
    };
    let mut files = Vec::new();
    for chapter in entries(&folder()).into_iter().filter(|p| p.is_dir()) {
        for path in entries(&chapter) {
            let name = path.strip_prefix(folder()).expect("inside").with_extension("");
            files.push((name.display().to_string(), fs::read(&path).expect("a readable file")));
        }
    }
    assert!(files.len() > 100, "only {} files", files.len());
    files
}

pub fn read(bytes: &[u8]) -> Netlist {
    netlist::read(bytes, &Limits::default()).expect("within limits")
}

/// Reads the file `name` of the folder, which must carry the id.
#[track_caller]
pub fn load(id: &str, name: &str) -> Netlist {
    let path = folder().join(format!("{name}.ipc"));
    let bytes = fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    assert!(bytes.starts_with(format!("C  {id} |").as_bytes()), "{name} is not {id}");
    read(&bytes)
}

/// The file's only point.
#[track_caller]
pub fn only(id: &str, name: &str) -> TestPoint {
    let mut found = load(id, name);
    assert_eq!(found.points.len(), 1, "{id}: {:?}", found.points);
    found.points.remove(0)
}

pub fn ids(found: &Netlist) -> Vec<&'static str> {
    let mut ids: Vec<_> = found.remarks.iter().map(|r| r.code.id).collect();
    ids.sort_unstable();
    ids
}

#[track_caller]
pub fn expect(found: &Netlist, id: &str, severity: Severity) {
    let remark = found.remarks.iter().find(|r| r.code.id == id);
    let remark = remark.unwrap_or_else(|| panic!("no {id} in {:?}", ids(found)));
    assert_eq!(remark.code.severity, severity, "{id}");
    assert!(!remark.found.is_empty() && !remark.code.clause.is_empty() && !remark.code.action.is_empty(), "{id}");
}

/// Millimetres as nanometres, to the nearest.
pub fn mm(value: f64) -> i64 {
    (value * 1e6).round() as i64
}

pub fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}
