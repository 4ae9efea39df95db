//! Routed paths.

use super::harness::*;
use landgap_parser::drill::HitShape;
use landgap_parser::{Edge, Severity};

fn arc_from(start: &str, rest: &str) -> landgap_parser::drill::HoleImage {
    metric(&format!("G00{start}\nM15\n{rest}\nM16"))
}

// CNC-7 G03 with A; centre derived.
#[test]
fn x_027_arc_counter_clockwise() {
    assert_eq!(only_arc(&arc_from("X5.0Y1.0", "G03X6.0Y2.0A1.0")), (at(5.0, 2.0), true));
}

#[test]
fn x_028_arc_clockwise() {
    assert_eq!(only_arc(&arc_from("X5.0Y1.0", "G02X6.0Y2.0A1.0")), (at(6.0, 1.0), false));
}

#[test]
fn x_029_arc_of_known_triangle() {
    let ccw = arc_from("X0.0Y0.0", "G03X6.0Y0.0A5.0");
    let (centre, _) = only_arc(&ccw);
    assert_eq!(centre, at(3.0, 4.0));
    let sweep = 2.0 * (3.0f64 / 4.0).atan().to_degrees();
    assert!((sweep - 73.739_795).abs() < 1e-6, "{sweep}");
    assert_eq!(only_arc(&arc_from("X0.0Y0.0", "G02X6.0Y0.0A5.0")).0, at(3.0, -4.0));
}

#[test]
fn x_030_radius_too_short() {
    let found = arc_from("X5.0Y1.0", "G03X6.0Y2.0A0.5");
    assert_eq!(only_arc(&found).0, at(5.5, 1.5), "a semicircle");
    let radius = only_arc(&found).0.distance(only_route(&found).0);
    assert!((radius / 1e6 - std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-6, "{radius}");
    expect(&found, "drill-arc-radius", Severity::Warning);
}

#[test]
fn x_031_semicircle() {
    let found = arc_from("X0.0Y0.0", "G03X10.0Y0.0A5.0");
    assert_eq!(only_arc(&found), (at(5.0, 0.0), true));
    assert!(!has(&found, "drill-arc-radius"));
}

// CNC-7 I and J: the wording leaves the sign open; which sign fits is derived.
#[test]
fn centre_by_offset_and_by_its_opposite() {
    let plus = arc_from("X5.0Y1.0", "G03X6.0Y2.0I0.0J1.0");
    assert_eq!(only_arc(&plus), (at(5.0, 2.0), true));
    let minus = arc_from("X5.0Y1.0", "G03X6.0Y2.0I0.0J-1.0");
    assert_eq!(only_arc(&minus), (at(5.0, 2.0), true));
    expect(&minus, "drill-arc-sign", Severity::Warning);
    expect(&arc_from("X0.0Y0.0", "G03X9.0Y1.0I1.0J1.0"), "drill-arc-misfit", Severity::Error);
    expect(&arc_from("X0.0Y0.0", "G03X9.0Y1.0"), "drill-arc-undefined", Severity::Error);
}

#[test]
fn radius_of_an_earlier_block_holds() {
    let found = arc_from("X5.0Y1.0", "G03X6.0Y2.0A1.0\nX5.0Y3.0");
    let (_, edges) = only_route(&found);
    let second = Edge::Arc { to: at(5.0, 3.0), centre: at(5.0, 2.0), counter_clockwise: true };
    assert_eq!(edges.get(1), Some(&second));
}

// CNC-7 routing: one straight cut is a slot, no cut at all a hole.
#[test]
fn paths_become_slots_holes_and_routes() {
    let found = metric(
        "G00X1.0Y1.0\nM15\nG01X4.0\nM16\nG00X9.0Y9.0\nM15\nM16\nG00X0.0Y0.0\nM15\nG01X1.0\nY1.0\nM17\nG05\nX7.0Y7.0",
    );
    let shapes: Vec<_> = found.hits.iter().map(|h| h.shape.clone()).collect();
    let edges = vec![Edge::Line { to: at(1.0, 0.0) }, Edge::Line { to: at(1.0, 1.0) }];
    let wanted = [
        HitShape::Slot { from: at(1.0, 1.0), to: at(4.0, 1.0) },
        HitShape::Hole { at: at(9.0, 9.0) },
        HitShape::Route { start: at(0.0, 0.0), edges },
        HitShape::Hole { at: at(7.0, 7.0) },
    ];
    assert_eq!(shapes, wanted);
    expect_clean(&found);
}

#[test]
fn path_left_open_is_kept_and_told() {
    let found = metric("G00X1.0Y1.0\nM15\nG01X4.0\nG00X9.0Y9.0\nG05\nX5.0Y5.0");
    expect(&found, "drill-path-open", Severity::Warning);
    assert_eq!(found.hits.len(), 2);
    expect(&metric("G00X1.0Y1.0\nG01X4.0Y1.0"), "drill-cut-tool-up", Severity::Warning);
}

// CNC-7 G32, G33: A is the radius of the finished circle; the tool here is 0.5 mm.
#[test]
fn circle_from_inside() {
    let found = metric("G33X5.0Y5.0A2.0");
    let (start, edges) = only_route(&found);
    assert_eq!(start, at(6.75, 5.0));
    assert_eq!(edges, [Edge::Arc { to: start, centre: at(5.0, 5.0), counter_clockwise: true }]);
    expect(&metric("G32X5.0Y5.0A0.2"), "drill-circle-size", Severity::Error);
}

// CNC-7 G84: at least twice the tool.
#[test]
fn drilled_circle() {
    assert_eq!(only_route(&metric("X5.0Y5.0G84X3.0")).0, at(6.25, 5.0));
    expect(&metric("X5.0Y5.0G84X0.9"), "drill-circle-size", Severity::Error);
}

#[test]
fn compensation_is_told_and_not_applied() {
    let found = metric("G00X1.0Y1.0\nM15\nG41\nG01X4.0\nM16\nG40");
    expect(&found, "drill-cutter-compensation", Severity::Error);
    assert_eq!(found.hits[0].shape, HitShape::Slot { from: at(1.0, 1.0), to: at(4.0, 1.0) });
}

#[test]
fn mirrored_copy_turns_arcs_over() {
    let found = metric("M25\nG00X5.0Y1.0\nM15\nG03X6.0Y2.0A1.0\nM16\nM01\nM02X20.0M80\nM08");
    let HitShape::Route { start, edges } = &found.hits[1].shape else { panic!("a route") };
    assert_eq!(*start, at(15.0, 1.0));
    assert_eq!(edges[0], Edge::Arc { to: at(14.0, 2.0), centre: at(15.0, 2.0), counter_clockwise: false });
}
