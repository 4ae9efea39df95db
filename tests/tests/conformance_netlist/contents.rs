//! What each file holds, in full: every point and every line, written by hand from the file's comment and the
//! columns of IPC-D-356A, so that no field may change unseen.
//!
//! A point: code, net, reference and pin, `M`, access, (position), size, `R`otation, mask, `L`ayers, `D`rill,
//! `+`further land, `at` the tester's place. A line: code, net or kind, layer, pen, corners; `*` begins anew.
//! All in millimetres; what is not stated is left out, or is `?` or `-`.

use super::harness::*;
use landgap_parser::Point;
use landgap_parser::netlist::{Access, MaskCover, Netlist, OutlineKind, PointKind, TestPoint};

const MOOR: &str = "327 MOOR J1.1 A1 (10,10) 1x0.5 R0 S0";
const MOOR_INCH: &str = "327 MOOR J1.1 A1 (25.4,25.4) 2.54x1.27 R0 S0";
const MOOR_LONG: &str = "327 MOORING_LINE_TENSION_P J1.1 A1 (10,10) 1x0.5 R0 S0";
const CLK: &str = "327 CLK_A R15.2 A1 (12.7,-2.54) 0.6x1.2 R90 S0";
const CLK_PLUS: &str = "327 CLK_A R15.2 A1 (12.7,2.54) 0.6x1.2 R90 S0";
const NET1: &str = "317 NET1 U3.7 A0 (9.75,62.88) 0.38 R0 S0 D0.2P";
const NET1_TWICE: &str = "317 NET1 U3.7 A0 (9.75,62.88) 0.38 R0 S0 D0.2P D0.15P@(9.45,62.88)";
const NO_HOLE: &str = "317 MOOR J1.1 A0 (10,10) 1 S0";
const SHORT_LINE: &str = "378 MOOR L1 0.15: (1,1)(2,1)";
const THREE_CORNERS: &str = "378 MOOR L2 0.15: (1,1)(2,1)(2,3)";
const EDGE: &str = "389 BOARD_EDGE 0.1: (0,0)(50,0)";

#[rustfmt::skip]
const CONTENTS: &[(&str, &[&str])] = &[
    ("017-027-continuation/alone", &[MOOR]),
    ("017-027-continuation/behind-conductor", &[MOOR, SHORT_LINE]),
    ("017-027-continuation/behind-lost-record", &[]),
    ("017-027-continuation/comment-between", &[NET1_TWICE]),
    ("017-027-continuation/land-then-hole", &["317 MOOR SW1.1 M A16 (19.569,-67.428) 2.032 D1.27P"]),
    ("017-027-continuation/other-net", &[NET1_TWICE]),
    ("017-027-continuation/second-hole",
        &["317 NET1 U3.7 A0 (24.765,159.7152) 0.9652 R0 S0 D0.508P D0.381P@(24.003,159.7152)"]),
    ("017-027-continuation/second-land", &["327 MOOR J1.1 A1 (10,10) 1x0.5 R0 S0 +0.8x0.4@(12,10)"]),
    ("017-027-continuation/without-hole", &[NET1]),
    ("099-test-location/grid", &["099 MOOR - A1 (10,10) 0 at X0012Y0034"]),
    ("099-test-location/no-coordinate", &[MOOR]),
    ("099-test-location/probe", &["099 MOOR - A0 (10,10) 0 at P"]),
    ("307-blind-via/span-missing", &["307 MOOR VIA M A1 (10,10) 0.35 S3 D0.15P"]),
    ("307-blind-via/span-turned", &["307 MOOR VIA M A1 (10,10) 0.35 S3 L4-2 D0.15P"]),
    ("307-blind-via/span", &["307 MOOR VIA M A1 (10,10) 0.35 S3 L1-2 D0.15P"]),
    ("309-stepped-image/no-offset", &[MOOR]),
    ("309-stepped-image/rotation", &[MOOR]),
    ("309-stepped-image/steps", &[MOOR]),
    ("317-through-hole/blank-leading-digits", &["317 MOOR VIA M A0 (5,-7.5) 0.6 R90 S3 D0.3P"]),
    ("317-through-hole/diameter-without-d", &[NO_HOLE]),
    ("317-through-hole/inch", &["317 NET1 U3.7 A0 (24.765,159.7152) 0.9652 R0 S0 D0.508P"]),
    ("317-through-hole/metric", &[NET1]),
    ("317-through-hole/no-hole", &[NO_HOLE]),
    ("317-through-hole/plating-not-stated", &["317 MOOR J1.1 A0 (10,10) 1 S0 D0.3"]),
    ("317-through-hole/via-single-point", &["317 - VIA M A0 (5,7.5) 0.6 R0 S3 D0.3P"]),
    ("317-through-hole/zero-diameter", &["317 MOOR J1.1 A0 (10,10) 1 S0 D?P"]),
    ("327-surface/access-missing", &["327 MOOR J1.1 A? (10,10) 1 S0"]),
    ("327-surface/access-unreadable", &["327 MOOR J1.1 A? (10,10) 1 S0"]),
    ("327-surface/blank-net", &["327 - J1.1 A1 (10,10) 1 S0"]),
    ("327-surface/layer-side", &["327 MOOR J1.1 A4 (10,10) 1 S0"]),
    ("327-surface/mask-codes", &[
        "327 MOOR J1.1 A1 (0,10) 1 S0", "327 MOOR J1.2 A1 (1,10) 1 S1",
        "327 MOOR J1.3 A1 (2,10) 1 S2", "327 MOOR J1.4 A1 (3,10) 1 S3",
    ]),
    ("327-surface/mask-early", &["327 MOOR J1.1 A1 (10,10) 1x0.5 R0 S2"]),
    ("327-surface/mask-unknown", &["327 MOOR J1.1 A1 (10,10) 1"]),
    ("327-surface/rotation-360", &[MOOR]),
    ("327-surface/rotation-too-large", &["327 MOOR J1.1 A1 (10,10) 1x0.5 S0"]),
    ("327-surface/side-and-rotation", &[CLK]),
    ("327-surface/size-full", &["327 MOOR J1.1 A1 (10,10) 9.999x0.5 S0"]),
    ("367-tooling/inch", &["367 - - A0 (8.89,8.89) 0 S0 D8.128U"]),
    ("367-tooling/metric", &["367 - - A0 (3.5,3.5) 0 S0 D3.2U"]),
    ("378-conductor/continuation-alone", &[MOOR]),
    ("378-conductor/continued-new-start", &[MOOR, "378 MOOR L2 0.15: (1,1)(2,1) * (5,5)(6,5)"]),
    ("378-conductor/continued-with-net", &[MOOR, THREE_CORNERS]),
    ("378-conductor/continued", &[MOOR, THREE_CORNERS]),
    ("378-conductor/first-corner-half", &[MOOR]),
    ("378-conductor/long-name", &[MOOR, "378 MOORING_LINE_TENSION_P L1 0.15: (1,1)(2,1)"]),
    ("378-conductor/no-layer", &[MOOR, "378 MOOR L? 0.15: (1,1)(2,1)"]),
    ("378-conductor/no-corner", &[MOOR]),
    ("378-conductor/one-corner", &[MOOR, "378 MOOR L1 0.15: (1,1)"]),
    ("378-conductor/square-pen", &[MOOR, "378 MOOR L1 0.2x0.1: (1,1)(2,1)"]),
    ("378-conductor/two-paths", &[
        "327 GROUND J1.1 A1 (10,10) 1x0.5 R0 S0",
        "378 GROUND L1 0.15: (40,250)(40,275)(50,275) * (275,300)(300,300)",
    ]),
    ("378-conductor/unreadable", &[MOOR]),
    ("379-adjacency/alone", &[MOOR]),
    ("379-adjacency/continued", &[MOOR]),
    ("379-adjacency/empty", &[MOOR]),
    ("379-adjacency/neighbours", &[MOOR]),
    ("389-outline/board-edge", &[MOOR, "389 BOARD_EDGE 0.1: (0,0)(100,0)(100,80)(0,80)(0,0)"]),
    ("389-outline/continued", &[MOOR, "389 BOARD_EDGE 0.1: (0,0)(50,0)(50,30)(0,30)(0,0)"]),
    ("389-outline/kinds", &[
        MOOR, EDGE, "389 PANEL_EDGE 0.1: (0,0)(50.001,0)",
        "389 SCORE_LINE 0.1: (0,0)(50.002,0)", "389 OTHER_FAB 0.1: (0,0)(50.003,0)",
    ]),
    ("389-outline/unknown-kind", &[MOOR, "389 WATERLINE 0.1: (0,0)(50,0)"]),
    ("389-outline/wrong-continuation", &[MOOR, EDGE]),
    ("columns/cut-in-coordinate", &[MOOR]),
    ("columns/cut-short", &["327 CLK_A R15.2 A1 (12.7,-2.54) 0"]),
    ("columns/decimal-point", &[]),
    ("columns/digit-missing-inside", &[]),
    ("columns/field-order", &["327 MOOR J1.1 A1 (10,10) 1x0.5 R90"]),
    ("columns/indented", &[CLK]),
    ("columns/long-name-moves", &["327 MOORING_LINE_TENSION_P R15.2 A1 (12.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/long-name-overwrites", &["327 MOORING_TENSION1 R15.2 A1 (12.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/long-number", &["327 CLK_A R15.2 A1 (112.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/long-reference", &["327 CLK_A BUOY1234-2 A1 (12.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/moved-left", &[CLK]),
    ("columns/moved-right", &[CLK]),
    ("columns/name-with-blank", &["327 MOOR LINE J1.1 A1 (10,10) 1 S0"]),
    ("columns/no-signs", &[CLK_PLUS]),
    ("columns/not-ascii", &["327 CLK_Å R15.2 A1 (12.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/out-of-range", &[]),
    ("columns/sign-left-out", &[CLK_PLUS]),
    ("columns/small-letters", &["327 clk_a r15.2 A1 (12.7,-2.54) 0.6x1.2 R90 S0"]),
    ("columns/stray", &[CLK]),
    ("columns/tabs", &[CLK]),
    ("kept-records/in-board", &[MOOR]),
    ("kept-records/unknown-code", &[MOOR]),
    ("line-ends-and-end-of-job/behind-end", &[CLK]),
    ("line-ends-and-end-of-job/blank-lines", &[CLK, MOOR]),
    ("line-ends-and-end-of-job/comments-behind-end", &[CLK]),
    ("line-ends-and-end-of-job/cr", &[CLK, MOOR]),
    ("line-ends-and-end-of-job/crlf", &[CLK, MOOR]),
    ("line-ends-and-end-of-job/no-end", &[CLK]),
    ("line-ends-and-end-of-job/no-points", &[]),
    ("line-ends-and-end-of-job/strange-line", &[CLK]),
    ("parameters/alias-empty", &[MOOR]),
    ("parameters/alias-late", &[MOOR_LONG]),
    ("parameters/alias-short", &[MOOR_LONG]),
    ("parameters/alias-twice", &[MOOR_LONG]),
    ("parameters/alias-undefined", &["327 NNAME00007 J1.1 A1 (10,10) 1x0.5 R0 S0"]),
    ("parameters/alias", &[MOOR_LONG, "317 MOORING_LINE_TENSION_P VIA M A0 (10,10) 0.6 R0 S3 D0.3P"]),
    ("parameters/all", &[MOOR]),
    ("parameters/cust-1", &["327 MOOR J1.1 A1 (10,10) 1x0.5 R90 S0"]),
    ("parameters/cust-2", &["327 MOOR J1.1 A1 (25.4,25.4) 2.54x1.27 S0"]),
    ("parameters/cust", &[MOOR_INCH]),
    ("parameters/keyword-column", &[MOOR]),
    ("parameters/no-unit", &[MOOR_INCH]),
    ("parameters/plain", &[MOOR]),
    ("parameters/unit-contradicts", &[MOOR]),
    ("parameters/unit-late", &[MOOR, "327 MOOR J1.1 A1 (20,10) 1x0.5 R0 S0"]),
    ("parameters/unit-twice", &[MOOR]),
    ("parameters/unit-unknown", &[MOOR_INCH]),
    ("parameters/unknown", &[MOOR]),
    ("parameters/version-unknown", &[MOOR]),
];

/// Nanometres as millimetres in the fewest digits.
fn length(nm: i64) -> String {
    format!("{}", nm as f64 / 1e6)
}

fn place(at: Point) -> String {
    format!("({},{})", length(at.x), length(at.y))
}

fn size(x: i64, y: i64) -> String {
    if y == 0 { length(x) } else { format!("{}x{}", length(x), length(y)) }
}

fn name(p: &TestPoint) -> String {
    let reference = if p.via { "VIA" } else { p.component.as_deref().unwrap_or("-") };
    let pin = p.pin.as_ref().map(|pin| format!(".{pin}"));
    format!("{reference}{}{}", pin.unwrap_or_default(), if p.mid_net { " M" } else { "" })
}

fn head(p: &TestPoint) -> String {
    let code = match p.kind {
        PointKind::ThroughHole => "317",
        PointKind::Surface => "327",
        PointKind::Tooling => "367",
        PointKind::BlindVia => "307",
        PointKind::TestLocation => "099",
    };
    let side = match p.side {
        Access::Both => "0".to_owned(),
        Access::Layer(layer) => layer.to_string(),
        Access::Unstated => "?".to_owned(),
    };
    let net = p.net.as_deref().unwrap_or("-");
    format!("{code} {net} {} A{side} {} {}", name(p), place(p.at), size(p.size_x, p.size_y))
}

fn holes(p: &TestPoint) -> impl Iterator<Item = String> {
    p.holes.iter().map(|hole| {
        let diameter = hole.diameter.map_or("?".to_owned(), length);
        let plated = hole.plated.map_or("", |plated| if plated { "P" } else { "U" });
        let elsewhere = if hole.at == p.at { String::new() } else { format!("@{}", place(hole.at)) };
        format!(" D{diameter}{plated}{elsewhere}")
    })
}

fn point(p: &TestPoint) -> String {
    let mut text = head(p);
    text.extend(p.rotation_deg.map(|r| format!(" R{r}")));
    text.extend(p.mask.map(|mask| match mask {
        MaskCover::None => " S0",
        MaskCover::Primary => " S1",
        MaskCover::Secondary => " S2",
        MaskCover::Both => " S3",
    }));
    text.extend(p.span.map(|(first, last)| format!(" L{first}-{last}")));
    text.extend(holes(p));
    text.extend(p.lands.iter().map(|land| format!(" +{}@{}", size(land.size_x, land.size_y), place(land.at))));
    text.extend(p.location.as_ref().map(|location| format!(" at {location}")));
    text
}

fn corners(paths: &[Vec<Point>]) -> String {
    let paths: Vec<String> = paths.iter().map(|path| path.iter().map(|p| place(*p)).collect()).collect();
    paths.join(" * ")
}

fn contents(found: &Netlist) -> Vec<String> {
    let mut list: Vec<String> = found.points.iter().map(point).collect();
    list.extend(found.conductors.iter().map(|c| {
        let layer = c.layer.map_or("?".to_owned(), |layer| layer.to_string());
        let net = c.net.as_deref().unwrap_or("-");
        format!("378 {net} L{layer} {}: {}", size(c.pen_x, c.pen_y), corners(&c.paths))
    }));
    list.extend(found.outlines.iter().map(|o| {
        let kind = match &o.kind {
            OutlineKind::Board => "BOARD_EDGE",
            OutlineKind::Panel => "PANEL_EDGE",
            OutlineKind::Score => "SCORE_LINE",
            OutlineKind::Other(word) => word,
        };
        format!("389 {kind} {}: {}", size(o.pen_x, o.pen_y), corners(&o.paths))
    }));
    list
}

#[test]
fn every_file_holds_what_is_written_here() {
    let files = all_files();
    assert_eq!(files.len(), CONTENTS.len(), "files and rows");
    for (name, bytes) in files {
        let row = CONTENTS.iter().find(|row| row.0 == name);
        let (_, wanted) = row.unwrap_or_else(|| panic!("{name} has no row"));
        assert_eq!(contents(&read(&bytes)), *wanted, "{name}");
    }
}
