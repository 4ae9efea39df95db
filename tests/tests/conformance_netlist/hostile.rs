//! Files that are broken, foreign or hostile.

use std::time::{Duration, Instant};

use super::harness::*;
use landgap_parser::netlist::{self, codes};
use landgap_parser::{Limits, Severity};

#[test]
fn empty_and_foreign() {
    for text in ["", "\n\r\n  \n", "\u{feff}"] {
        expect(&read(text.as_bytes()), "netlist-empty", Severity::Fatal);
    }
    let letter = read(b"Dear shop,\n\nthe buoy boards are in the next mail.\n");
    expect(&letter, "netlist-not-a-netlist", Severity::Fatal);
    assert_eq!(letter.unread, [1, 3]);
    expect(&read(&[0; 4096]), "netlist-empty", Severity::Fatal);
    assert!(read(&[0xFF; 4096]).points.is_empty());
}

/// Every cut of every file is answered; only one that lost nothing but the last line end has its end.
#[test]
fn cut_anywhere_the_reader_still_answers() {
    for (name, bytes) in all_files() {
        let whole = read(&bytes);
        assert_eq!(whole, read(&bytes), "{name}");
        for cut in 0..bytes.len() {
            let part = read(&bytes[..cut]);
            let told = part.remarks.iter().any(|r| r.code.severity >= Severity::Error);
            assert!(part.ended || told, "{name} cut at {cut}: no remark that the file is cut short");
        }
    }
}

/// One byte of every file is changed at every place: no panic, and every point lies within a metre.
#[test]
fn any_byte_may_be_wrong() {
    for (name, bytes) in all_files() {
        for place in 0..bytes.len() {
            for wrong in [0u8, b' ', b'9', b'X', b'*', b'\n', 0xFF] {
                let mut broken = bytes.clone();
                broken[place] = wrong;
                let found = read(&broken);
                let far = |v: i64| v.abs() > 1_000_000_000;
                assert!(!found.points.iter().any(|p| far(p.at.x) || far(p.at.y)), "{name} at {place}");
            }
        }
    }
}

#[test]
fn limits_are_named() {
    let small = Limits { records: 10, vertices: 10, bytes: 4000, ..Limits::default() };
    let name = |text: &str| netlist::read(text.as_bytes(), &small).expect_err("a limit").limit;
    let record = "327MOOR             J1    -1          A01X+010000Y+010000X1000Y0500R000 S0\n";
    assert_eq!(name(&record.repeat(11)), "records");
    assert_eq!(name(&"what\n".repeat(11)), "records");
    assert_eq!(name(&"P  NNAME00001 A\n".repeat(11)), "records");
    assert_eq!(name(&format!("P  REMOVED_CONDUCTORS{}\n", " A".repeat(11))), "records");
    assert_eq!(name(&format!("379MOOR {}\n", " A".repeat(11))), "records");
    assert_eq!(name(&format!("378MOOR           L01 X0150{}\n", " X1Y1".repeat(11))), "vertices");
    assert_eq!(name(&" ".repeat(4001)), "bytes");
}

fn quick(text: &[u8]) -> netlist::Netlist {
    let started = Instant::now();
    let found = read(text);
    // Far above what linear work takes and far below what quadratic work would.
    assert!(started.elapsed() < Duration::from_secs(60), "took {:?}", started.elapsed());
    found
}

/// Derived: a million points, each kept; then lines of megabytes that would be slow to search twice.
#[test]
fn large_files_and_long_lines() {
    let record = "327MOOR             J1    -1          A01X+010000Y+010000\n";
    let head = "P  UNITS SI\n";
    let found = quick(format!("{head}{}999\n", record.repeat(1_000_000)).as_bytes());
    assert_eq!((found.points.len(), found.remarks.len()), (1_000_000, 0));
    let long = 1 << 20;
    for piece in ["X", "X1", "X ", "Y1", "X1Y", "A01X+", "*", "L", " ", "1", "NNAME", "\t", "\u{c5}", "é "] {
        let run = piece.repeat(long / piece.len());
        for start in
            ["317", "327N ", "017", "378N              L01 X1 ", "078", "389", "379", "309", "099", "P  ", "123"]
        {
            quick(format!("{head}{record}{start}{run}\n999\n").as_bytes());
        }
    }
}

#[test]
fn codes_are_told_apart() {
    let mut ids: Vec<&str> = codes::ALL.iter().map(|c| c.id).collect();
    ids.sort_unstable();
    let all = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), all);
    assert!(codes::ALL.iter().all(|c| !c.action.is_empty() && !c.clause.is_empty()));
}
