//! The netlist reader against IPC-D-356 and its revision A, through its public door only.
//!
//! Every situation is a file of its own under `corpus/conformance/netlist`, in a folder named after its
//! kind of record; the first lines of each file give its id, clause and truth. Sources: the record
//! layouts are those of IPC-D-356A; rows `N-…` are worked records of the trade, results marked "derived"
//! follow from the layouts by hand.

#[path = "conformance_netlist/boards.rs"]
mod boards;
#[path = "conformance_netlist/contents.rs"]
mod contents;
#[path = "conformance_netlist/harness.rs"]
mod harness;
#[path = "conformance_netlist/hostile.rs"]
mod hostile;
#[path = "conformance_netlist/lines.rs"]
mod lines;
#[path = "conformance_netlist/points.rs"]
mod points;
#[path = "conformance_netlist/rows.rs"]
mod rows;

use std::collections::BTreeMap;

use harness::*;
use landgap_parser::Severity;
use landgap_parser::kind::{Kind, detect};
use landgap_parser::netlist::codes;

/// Ids are given once, and each file says what it shows in comments any reader skips.
#[test]
fn each_file_names_itself() {
    let mut ids: BTreeMap<String, String> = BTreeMap::new();
    for (name, bytes) in all_files() {
        let text = String::from_utf8(bytes).unwrap_or_else(|_| panic!("{name}: not UTF-8"));
        let mut lines = text.split(['\r', '\n']).filter(|l| !l.is_empty());
        let first = lines.next().and_then(|l| l.strip_prefix("C  ")).unwrap_or_else(|| panic!("{name}: no comment"));
        let (id, clause) = first.split_once(" | clause ").unwrap_or_else(|| panic!("{name}: {first}"));
        assert!(!clause.is_empty() && lines.next().is_some_and(|l| l.starts_with("C  ")), "{name}: no truth");
        assert_eq!(ids.insert(id.to_owned(), name.clone()), None, "{id}: {name} has the id of another file");
    }
    let missing: Vec<String> = (1..=10).map(|n| format!("N-{n:03}")).filter(|id| !ids.contains_key(id)).collect();
    assert!(missing.is_empty(), "no file for {missing:?}");
}

/// Every file has a row in the table, and gives the remarks and counts of its row.
#[test]
fn each_file_gives_what_its_row_says() {
    let rows: BTreeMap<&str, &rows::Row> = rows::ROWS.iter().map(|r| (r.0, r)).collect();
    assert_eq!(rows.len(), rows::ROWS.len(), "a file has two rows");
    let files = all_files();
    assert_eq!(files.len(), rows.len(), "files and rows");
    for (name, bytes) in files {
        let (_, remarks, points, conductors, outlines, unread) =
            rows.get(name.as_str()).unwrap_or_else(|| panic!("{name} has no row"));
        let found = read(&bytes);
        let short: Vec<&str> = ids(&found).iter().filter_map(|id| id.strip_prefix("netlist-")).collect();
        assert_eq!(&short, remarks, "{name}: {:#?}", found.remarks);
        let counts = (found.points.len(), found.conductors.len(), found.outlines.len(), found.unread.len());
        assert_eq!(counts, (*points, *conductors, *outlines, *unread), "{name}: {found:#?}");
    }
}

/// The comment of a file says how much its worst remark weighs: error, warning, noted, or nothing.
#[test]
fn remarks_weigh_what_the_comment_says() {
    for (name, bytes) in all_files() {
        let text = String::from_utf8(bytes.clone()).expect("each file is UTF-8");
        let comments = text.split(['\r', '\n']).filter(|l| !l.is_empty()).take_while(|l| l.starts_with('C'));
        let truth = comments.collect::<Vec<_>>().join(" ");
        let said = [("error", Severity::Error), ("warning", Severity::Warning), ("noted", Severity::Info)];
        let wanted = said.iter().find(|(word, _)| truth.contains(word)).map(|(_, severity)| *severity);
        let worst = read(&bytes).remarks.iter().map(|r| r.code.severity).max();
        assert_eq!(worst, wanted, "{name}: {truth}");
    }
}

/// Every remark but those on whole files of another kind is shown by a file.
#[test]
fn every_code_has_a_file() {
    let shown: Vec<&str> = rows::ROWS.iter().flat_map(|r| r.1.iter().copied()).collect();
    let elsewhere = ["netlist-empty", "netlist-not-a-netlist", "netlist-pen-missing"];
    for code in codes::ALL {
        let short = code.id.strip_prefix("netlist-").unwrap_or_else(|| panic!("{} has another prefix", code.id));
        assert!(shown.contains(&short) || elsewhere.contains(&code.id), "no file shows {}", code.id);
    }
}

/// Every file of the folder is told as a netlist by its content alone.
#[test]
fn every_file_is_told_as_a_netlist() {
    for (name, bytes) in all_files() {
        assert_eq!(detect(&bytes), Kind::Netlist, "{name}");
    }
    let others = [
        "M48\nMETRIC\nT01C0.500\n%\nT01\nX1Y1\nM30\n",
        "%FSLAX46Y46*%\n%MOMM*%\nM02*\n",
        "Please send 317 boards.\nP  stands for panel.\nCall me.\n",
        "C  only a comment\nC  and another\n",
    ];
    for other in others {
        assert_ne!(detect(other.as_bytes()), Kind::Netlist, "{other}");
    }
}

/// Places lie in the file: the line and column named hold the offset named.
#[test]
fn remarks_stand_where_they_say() {
    for (name, bytes) in all_files().into_iter().filter(|(n, _)| !n.contains("/cr")) {
        for remark in read(&bytes).remarks {
            let before = &bytes[..(remark.place.offset as usize).min(bytes.len())];
            let line = before.iter().filter(|b| **b == b'\n').count() + 1;
            assert_eq!(remark.place.line as usize, line, "{name}: {remark:?}");
            let column = before.iter().rev().take_while(|b| **b != b'\n').count() + 1;
            assert_eq!(remark.place.column as usize, column, "{name}: {remark:?}");
        }
    }
}
