//! Real netlists against counts of lines by their first three columns, taken here and not by this reader.
//!
//! The boards are for checking only and stand outside the repository; without them this passes with a message.

use std::path::{Path, PathBuf};

use super::harness::*;
use landgap_parser::kind::{Kind, detect};
use landgap_parser::netlist::{Netlist, PointKind};

/// The operation codes these boards use, but for 999.
const CODES: [&str; 8] = ["317", "327", "367", "017", "378", "389", "078", "089"];

/// A board, how many lines begin with each of [`CODES`], and the remarks with their reason.
struct Board {
    set: &'static str,
    lines: [usize; 8],
    /// Every remark must stand here: id, how many places, why.
    explained: &'static [(&'static str, u32, &'static str)],
}

const BOARDS: [Board; 4] = [
    Board {
        set: "board-009",
        lines: [274, 385, 15, 0, 0, 0, 0, 0],
        explained: &[
            ("netlist-header-unknown", 1, "one parameter that is not of the standard"),
            ("netlist-mask-early", 674, "every record has its mask field in column 72"),
        ],
    },
    Board {
        set: "board-012",
        lines: [167, 285, 8, 0, 0, 0, 0, 0],
        explained: &[
            ("netlist-header-unknown", 1, "one parameter that is not of the standard"),
            ("netlist-mask-early", 460, "every record has its mask field in column 72"),
        ],
    },
    Board {
        set: "board-031",
        lines: [1225, 1688, 0, 0, 5992, 1, 11375, 2],
        explained: &[
            ("netlist-header-columns", 1, "JOB stands in column 3"),
            ("netlist-one-corner", 3, "three conductors have one corner and no continuation"),
        ],
    },
    Board {
        set: "board-036",
        lines: [568, 10, 0, 12, 0, 0, 0, 0],
        explained: &[
            ("netlist-net-blank", 2, "two lands have no net name, one of them of Q2"),
            ("netlist-size-full", 2, "the land of Q2 is 9999 by 9999"),
        ],
    },
];

fn netlist_of(set: &str) -> Option<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/boards").join(set);
    let list = std::fs::read_dir(&folder).ok()?;
    let mut paths = list.map(|e| e.expect("a readable entry").path());
    paths.find(|p| p.extension().is_some_and(|e| e.eq_ignore_ascii_case("ipc")))
}

/// How many lines begin with each code, and with any three digits.
fn lines_by_code(bytes: &[u8]) -> ([usize; 8], usize) {
    let lines = || bytes.split(|b| *b == b'\n');
    let digits = lines().filter(|l| l.len() >= 3 && l[..3].iter().all(u8::is_ascii_digit)).count();
    (CODES.map(|code| lines().filter(|l| l.starts_with(code.as_bytes())).count()), digits)
}

/// Corners of the conductors and outlines: every record gives at least one.
fn corners(found: &Netlist) -> usize {
    let paths = found.conductors.iter().map(|c| &c.paths).chain(found.outlines.iter().map(|o| &o.paths));
    paths.flatten().map(Vec::len).sum()
}

fn count(found: &Netlist, kind: PointKind) -> usize {
    found.points.iter().filter(|p| p.kind == kind).count()
}

#[test]
fn every_record_of_real_netlists_is_read() {
    for board in BOARDS {
        let Some(path) = netlist_of(board.set) else {
            println!("skipped: the netlist of {} is not on this machine", board.set);
            continue;
        };
        let bytes = std::fs::read(&path).expect("a readable file");
        assert_eq!(detect(&bytes), Kind::Netlist, "{}", board.set);
        let found = read(&bytes);
        let (lines, records) = lines_by_code(&bytes);
        assert_eq!(lines, board.lines, "{}: lines by their first three columns", board.set);
        assert_eq!(records, lines.iter().sum::<usize>() + 1, "{}: no other record but 999", board.set);
        let [through, surface, tooling, continued, conductors, outlines, drawn_on, edge_on] = lines;
        let kinds = [PointKind::ThroughHole, PointKind::Surface, PointKind::Tooling].map(|k| count(&found, k));
        assert_eq!(kinds, [through, surface, tooling], "{}", board.set);
        assert_eq!(found.points.len(), through + surface + tooling, "{}", board.set);
        // Every 317 and 367 has one hole, its own or that of its 017.
        let holes: usize = found.points.iter().map(|p| p.holes.len()).sum();
        assert_eq!(holes, through + tooling, "{}", board.set);
        let joined = found.points.iter().flat_map(|p| p.holes.iter().filter(|h| h.line != p.line)).count();
        assert_eq!(joined, continued, "{}", board.set);
        assert_eq!((found.conductors.len(), found.outlines.len()), (conductors, outlines), "{}", board.set);
        assert!(corners(&found) >= conductors + outlines + drawn_on + edge_on, "{}", board.set);
        assert!(found.unread.is_empty() && found.kept.is_empty() && found.ended, "{}", board.set);
        let told: Vec<_> = found.remarks.iter().map(|r| (r.code.id, r.more + 1)).collect();
        let explained: Vec<_> = board.explained.iter().map(|(id, places, _)| (*id, *places)).collect();
        assert_eq!(told, explained, "{}: {:#?}", board.set, found.remarks);
        let left = found.points.iter().filter_map(|p| p.net.as_deref()).filter(|n| n.starts_with("NNAME")).count();
        assert_eq!(left, 0, "{}: aliases without their names", board.set);
    }
}

/// Derived by hand from the first records of the drawn outline: 89 952 − 18 393 and 53 991 − 10 684 steps.
#[test]
fn the_outline_of_a_real_netlist_has_its_size() {
    let Some(path) = netlist_of("board-031") else {
        println!("skipped: the netlist of board-031 is not on this machine");
        return;
    };
    let found = read(&std::fs::read(path).expect("a readable file"));
    let corners = &found.outlines[0].paths[0];
    let span = |values: Vec<i64>| values.iter().max().expect("corners") - values.iter().min().expect("corners");
    assert_eq!(span(corners.iter().map(|p| p.x).collect()), (53_991 - 10_684) * 2_540);
    assert_eq!(span(corners.iter().map(|p| p.y).collect()), (89_952 - 18_393) * 2_540);
    assert_eq!((corners.len(), corners.first()), (7, corners.last()));
}
