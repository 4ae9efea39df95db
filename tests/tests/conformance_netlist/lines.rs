//! What is read of conductors, outlines, adjacency, steps and kept records. Record layouts of IPC-D-356A.

use super::harness::*;
use landgap_parser::Point;
use landgap_parser::netlist::OutlineKind;

fn path(corners: &[(f64, f64)]) -> Vec<Point> {
    corners.iter().map(|(x, y)| at(*x, *y)).collect()
}

#[test]
fn n_007_conductor_of_two_paths() {
    let found = load("N-007", "378-conductor/two-paths");
    let c = &found.conductors[0];
    assert_eq!((c.net.as_deref(), c.layer, c.pen_x, c.pen_y), (Some("GROUND"), Some(1), mm(0.15), 0));
    let wanted = [path(&[(40.0, 250.0), (40.0, 275.0), (50.0, 275.0)]), path(&[(275.0, 300.0), (300.0, 300.0)])];
    assert_eq!(c.paths, wanted);
}

#[test]
fn n_008_board_edge() {
    let found = load("N-008", "389-outline/board-edge");
    let o = &found.outlines[0];
    assert_eq!((&o.kind, o.pen_x), (&OutlineKind::Board, mm(0.1)));
    assert_eq!(o.paths, [path(&[(0.0, 0.0), (100.0, 0.0), (100.0, 80.0), (0.0, 80.0), (0.0, 0.0)])]);
}

#[test]
fn conductors_over_several_records() {
    let corner = path(&[(1.0, 1.0), (2.0, 1.0), (2.0, 3.0)]);
    for (id, file) in [("B-060", "continued"), ("B-062", "continued-with-net")] {
        let found = load(id, &format!("378-conductor/{file}"));
        assert_eq!(
            (&found.conductors[0].paths[..], found.conductors[0].layer),
            (&[corner.clone()][..], Some(2)),
            "{id}"
        );
    }
    let found = load("B-061", "378-conductor/continued-new-start");
    assert_eq!(found.conductors[0].paths, [path(&[(1.0, 1.0), (2.0, 1.0)]), path(&[(5.0, 5.0), (6.0, 5.0)])]);
}

#[test]
fn conductors_that_are_odd() {
    let found = load("B-063", "378-conductor/square-pen");
    assert_eq!((found.conductors[0].pen_x, found.conductors[0].pen_y), (mm(0.2), mm(0.1)));
    assert_eq!(load("B-064", "378-conductor/no-layer").conductors[0].layer, None);
    assert_eq!(load("B-065", "378-conductor/one-corner").conductors[0].paths, [path(&[(1.0, 1.0)])]);
    assert_eq!(load("B-074", "378-conductor/no-corner").unread, [7]);
    assert_eq!(load("B-066", "378-conductor/first-corner-half").unread, [7, 8]);
    assert_eq!(load("B-067", "378-conductor/unreadable").unread, [7]);
    assert_eq!(load("B-068", "378-conductor/continuation-alone").unread, [7]);
    let found = load("B-069", "378-conductor/long-name");
    let c = &found.conductors[0];
    assert_eq!((c.net.as_deref(), c.layer), (Some("MOORING_LINE_TENSION_P"), Some(1)));
    assert_eq!(c.paths, [path(&[(1.0, 1.0), (2.0, 1.0)])]);
}

#[test]
fn outlines() {
    let found = load("B-070", "389-outline/continued");
    assert_eq!(found.outlines[0].paths, [path(&[(0.0, 0.0), (50.0, 0.0), (50.0, 30.0), (0.0, 30.0), (0.0, 0.0)])]);
    let kinds: Vec<_> = load("B-071", "389-outline/kinds").outlines.into_iter().map(|o| o.kind).collect();
    let other = OutlineKind::Other("OTHER_FAB".to_owned());
    assert_eq!(kinds, [OutlineKind::Board, OutlineKind::Panel, OutlineKind::Score, other]);
    let found = load("B-072", "389-outline/unknown-kind");
    assert_eq!(found.outlines[0].kind, OutlineKind::Other("WATERLINE".to_owned()));
    assert_eq!(load("B-073", "389-outline/wrong-continuation").unread, [8]);
}

#[test]
fn a_line_without_width_is_kept_and_told() {
    let found = read(b"P  UNITS SI\n389BOARD_EDGE         Y+001000 X+001000 X+002000\n999\n");
    assert!(found.outlines.is_empty(), "a first corner without x is not guessed: {:?}", found.outlines);
    let found = read(b"P  UNITS SI\n378MOOR           L01 X-001000Y+001000 X+002000\n999\n");
    expect(&found, "netlist-pen-missing", landgap_parser::Severity::Warning);
    assert_eq!(found.conductors[0].paths, [path(&[(-1.0, 1.0), (2.0, 1.0)])]);
}

#[test]
fn neighbours() {
    let list = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    let moor = "MOOR".to_owned();
    let found = load("B-080", "379-adjacency/neighbours").adjacency;
    assert_eq!(found, [(moor.clone(), list(&["GND", "MOORING_LINE_TENSION_P"]))]);
    assert_eq!(load("B-081", "379-adjacency/continued").adjacency, [(moor.clone(), list(&["GND", "LEVEL", "VBAT"]))]);
    assert_eq!(load("B-082", "379-adjacency/empty").adjacency, [(moor, Vec::new())]);
    assert_eq!(load("B-083", "379-adjacency/alone").unread, [7]);
}

#[test]
fn stepped_images() {
    let steps = load("B-100", "309-stepped-image/steps").steps;
    let rows: Vec<_> = steps.iter().map(|s| (s.mirrored, s.clockwise_deg, s.offset)).collect();
    assert_eq!(rows, [(false, 0, at(50.0, 0.0)), (true, 90, at(100.0, -20.0))]);
    assert_eq!(load("B-101", "309-stepped-image/rotation").unread, [7]);
    assert_eq!(load("B-102", "309-stepped-image/no-offset").unread, [7]);
}

#[test]
fn records_without_points_are_kept_as_text() {
    let codes: Vec<_> = load("B-110", "kept-records/in-board").kept.into_iter().map(|k| k.code).collect();
    assert_eq!(codes, ["370", "070", "380", "080", "390", "090", "088"]);
    let kept = load("B-111", "kept-records/unknown-code").kept.remove(0);
    assert_eq!((kept.code.as_str(), &kept.text[..5], kept.line), ("314", "CLK_A", 7));
}

#[test]
fn line_ends() {
    let wanted = [at(12.7, -2.54), at(10.0, 10.0)];
    for (id, file, lines) in [("B-140", "crlf", 8), ("B-141", "cr", 8), ("B-146", "blank-lines", 10)] {
        let found = load(id, &format!("line-ends-and-end-of-job/{file}"));
        assert_eq!(found.points.iter().map(|p| p.at).collect::<Vec<_>>(), wanted, "{id}");
        assert_eq!((found.lines, found.ended), (lines, true), "{id}");
    }
    assert!(!load("B-142", "line-ends-and-end-of-job/no-end").ended);
    assert_eq!(load("B-143", "line-ends-and-end-of-job/behind-end").points.len(), 1);
}
