//! What is read of lands, holes, test locations and parameters. Columns of IPC-D-356A.

use super::harness::*;
use landgap_parser::Unit;
use landgap_parser::netlist::{Access, AngleUnit, Dialect, FurtherLand, Hole, MaskCover, PointKind};

#[test]
fn n_001_through_hole_in_inches() {
    let p = only("N-001", "317-through-hole/inch");
    assert_eq!((p.kind, p.net.as_deref()), (PointKind::ThroughHole, Some("NET1")));
    assert_eq!((p.component.as_deref(), p.pin.as_deref(), p.via, p.mid_net), (Some("U3"), Some("7"), false, false));
    let centre = at(24.765, 159.7152);
    assert_eq!(p.holes, [Hole { at: centre, diameter: Some(mm(0.508)), plated: Some(true), line: 7 }]);
    assert_eq!((p.side, p.at, p.size_x, p.size_y), (Access::Both, centre, mm(0.9652), 0));
    assert_eq!((p.rotation_deg, p.mask, p.span, p.line), (Some(0), Some(MaskCover::None), None, 7));
}

#[test]
fn n_002_the_same_in_millimetres() {
    let p = only("N-002", "317-through-hole/metric");
    assert_eq!((p.holes[0].diameter, p.at, p.size_x), (Some(mm(0.2)), at(9.75, 62.88), mm(0.38)));
}

#[test]
fn n_003_surface_land_turned() {
    let p = only("N-003", "327-surface/side-and-rotation");
    assert_eq!((p.kind, p.side, p.at), (PointKind::Surface, Access::Layer(1), at(12.7, -2.54)));
    assert_eq!((p.size_x, p.size_y, p.rotation_deg), (mm(0.6), mm(1.2), Some(90)));
    assert!(p.holes.is_empty());
}

#[test]
fn n_004_via_of_no_net() {
    let p = only("N-004", "317-through-hole/via-single-point");
    assert_eq!((p.net, p.component, p.via, p.mid_net), (None, None, true, true));
    assert_eq!((p.holes[0].diameter, p.mask), (Some(mm(0.3)), Some(MaskCover::Both)));
}

#[test]
fn n_005_tooling_hole() {
    for (id, file, diameter) in [("N-005", "inch", 8.128), ("N-005-SI", "metric", 3.2)] {
        let p = only(id, &format!("367-tooling/{file}"));
        assert_eq!((p.kind, p.net), (PointKind::Tooling, None));
        assert_eq!((p.holes[0].diameter, p.holes[0].plated), (Some(mm(diameter)), Some(false)), "{id}");
    }
}

#[test]
fn n_006_second_hole() {
    let p = only("N-006", "017-027-continuation/second-hole");
    let second = Hole { at: at(24.003, 159.7152), diameter: Some(mm(0.381)), plated: Some(true), line: 8 };
    assert_eq!((p.holes.len(), p.holes[1], p.lands.len()), (2, second, 0));
}

#[test]
fn n_009_radians_leave_the_rotation_unknown() {
    let found = load("N-009", "parameters/cust-2");
    assert_eq!((found.unit, found.angle_unit), (Some(Unit::Inch), AngleUnit::Radian));
    assert_eq!((found.points[0].rotation_deg, found.points[0].size_x), (None, mm(2.54)));
}

#[test]
fn n_010_inch_is_assumed_aloud() {
    let found = load("N-010", "parameters/no-unit");
    expect(&found, "netlist-unit-assumed", landgap_parser::Severity::Warning);
    assert_eq!((found.unit, found.points[0].size_x), (None, mm(2.54)));
}

/// Derived: the land of every file is 1000 steps wide.
#[test]
fn units_of_every_statement() {
    let rows = [
        ("B-040", "cust-1", Some(Unit::Millimetre), 1.0),
        ("B-041", "cust", Some(Unit::Inch), 2.54),
        ("B-042", "unit-unknown", None, 2.54),
        ("B-043", "unit-twice", Some(Unit::Millimetre), 1.0),
        ("B-044", "unit-contradicts", Some(Unit::Millimetre), 1.0),
        ("B-045", "unit-late", Some(Unit::Millimetre), 1.0),
        ("B-055", "keyword-column", Some(Unit::Millimetre), 1.0),
    ];
    for (id, file, unit, width) in rows {
        let found = load(id, &format!("parameters/{file}"));
        assert_eq!((found.unit, found.points[0].size_x), (unit, mm(width)), "{id}");
    }
}

#[test]
fn aliases_become_net_names() {
    let long = Some("MOORING_LINE_TENSION_P");
    for (id, file) in [("B-046", "alias"), ("B-047", "alias-short"), ("B-048", "alias-late"), ("B-050", "alias-twice")]
    {
        let found = load(id, &format!("parameters/{file}"));
        assert!(found.points.iter().all(|p| p.net.as_deref() == long), "{id}: {:?}", found.points);
    }
    assert_eq!(only("B-049", "parameters/alias-undefined").net.as_deref(), Some("NNAME00007"));
}

#[test]
fn parameters_are_kept() {
    let found = load("B-054", "parameters/all");
    let h = &found.header;
    let texts = [&h.job, &h.code, &h.title, &h.number, &h.revision, &h.version, &h.image].map(Option::as_deref);
    let wanted = ["TARN ROW BUOY", "00", "LEVEL HEAD", "TR-7", "C", "IPC-D-356A", "PRIMARY"].map(Some);
    assert_eq!(texts, wanted);
    assert_eq!(h.removed_conductors, ["GND", "MOORING_LINE_TENSION_P"]);
    assert_eq!((found.dialect, found.ended, found.lines), (Dialect::RevisionA, true, 15));
    assert_eq!(load("B-052", "parameters/plain").dialect, Dialect::Plain);
    assert_eq!(load("B-053", "parameters/version-unknown").dialect, Dialect::Unstated);
    assert_eq!(load("B-056", "parameters/unknown").header.other, [("BUOYANCY".to_owned(), "12".to_owned())]);
}

#[test]
fn fields_of_lands_and_holes() {
    let p = only("B-001", "317-through-hole/blank-leading-digits");
    assert_eq!((p.holes[0].diameter, p.at, p.size_x), (Some(mm(0.3)), at(5.0, -7.5), mm(0.6)));
    assert_eq!(p.rotation_deg, Some(90));
    assert!(only("B-002", "317-through-hole/no-hole").holes.is_empty());
    assert_eq!(only("B-003", "317-through-hole/zero-diameter").holes[0].diameter, None);
    assert!(only("B-004", "317-through-hole/diameter-without-d").holes.is_empty());
    let hole = only("B-005", "317-through-hole/plating-not-stated").holes[0];
    assert_eq!((hole.diameter, hole.plated), (Some(mm(0.3)), None));
    assert_eq!(only("B-010", "327-surface/rotation-360").rotation_deg, Some(0));
    assert_eq!(only("B-011", "327-surface/rotation-too-large").rotation_deg, None);
    assert_eq!(only("B-012", "327-surface/size-full").size_x, mm(9.999));
    let masks = load("B-013", "327-surface/mask-codes").points.iter().map(|p| p.mask).collect::<Vec<_>>();
    assert_eq!(masks, [MaskCover::None, MaskCover::Primary, MaskCover::Secondary, MaskCover::Both].map(Some));
    assert_eq!(only("B-014", "327-surface/mask-unknown").mask, None);
    assert_eq!(only("B-015", "327-surface/mask-early").mask, Some(MaskCover::Secondary));
    assert_eq!(only("B-016", "327-surface/access-missing").side, Access::Unstated);
    assert_eq!(only("B-017", "327-surface/access-unreadable").side, Access::Unstated);
    assert_eq!(only("B-018", "327-surface/blank-net").net, None);
    assert_eq!(only("B-019", "327-surface/layer-side").side, Access::Layer(4));
    assert_eq!(only("B-020", "307-blind-via/span").span, Some((1, 2)));
    assert_eq!(only("B-021", "307-blind-via/span-missing").span, None);
    assert_eq!(only("B-022", "307-blind-via/span-turned").span, Some((4, 2)));
}

#[test]
fn continuations_belong_to_the_record_before() {
    let p = only("B-030", "017-027-continuation/land-then-hole");
    assert_eq!((p.size_x, p.side, p.lands.len()), (mm(2.032), Access::Layer(16), 0));
    assert_eq!((p.holes.len(), p.holes[0].at, p.holes[0].diameter), (1, at(19.569, -67.428), Some(mm(1.27))));
    let p = only("B-031", "017-027-continuation/second-land");
    let land = FurtherLand { at: at(12.0, 10.0), size_x: mm(0.8), size_y: mm(0.4), line: 7 };
    assert_eq!(p.lands, [land]);
    assert_eq!(only("B-032", "017-027-continuation/comment-between").holes.len(), 2);
    assert!(only("B-033", "017-027-continuation/alone").holes.is_empty());
    assert!(only("B-034", "017-027-continuation/behind-conductor").holes.is_empty());
    let p = only("B-035", "017-027-continuation/other-net");
    assert_eq!((p.net.as_deref(), p.holes.len()), (Some("NET1"), 2));
    assert_eq!(load("B-036", "017-027-continuation/behind-lost-record").unread, [7, 8]);
    assert_eq!(only("B-037", "017-027-continuation/without-hole").holes.len(), 1);
}

#[test]
fn test_locations() {
    let p = only("B-090", "099-test-location/grid");
    assert_eq!((p.kind, p.net.as_deref()), (PointKind::TestLocation, Some("MOOR")));
    assert_eq!((p.location.as_deref(), p.side, p.at), (Some("X0012Y0034"), Access::Layer(1), at(10.0, 10.0)));
    let p = only("B-091", "099-test-location/probe");
    assert_eq!((p.location.as_deref(), p.side), (Some("P"), Access::Both));
    assert_eq!(load("B-092", "099-test-location/no-coordinate").unread, [7]);
}

/// Out of place or not: CLK_A, R15 pin 2, at 12.700, ±2.540 mm, 0.600 × 1.200 mm, turned by 90 degrees.
#[test]
fn columns_out_of_place_are_read_by_their_letters() {
    let rows = [
        ("B-120", "moved-right", "CLK_A", 12.7, -2.54),
        ("B-121", "moved-left", "CLK_A", 12.7, -2.54),
        ("B-122", "long-name-moves", "MOORING_LINE_TENSION_P", 12.7, -2.54),
        ("B-123", "long-name-overwrites", "MOORING_TENSION1", 12.7, -2.54),
        ("B-125", "no-signs", "CLK_A", 12.7, 2.54),
        ("B-126", "sign-left-out", "CLK_A", 12.7, 2.54),
        ("B-127", "long-number", "CLK_A", 112.7, -2.54),
        ("B-132", "indented", "CLK_A", 12.7, -2.54),
        ("B-136", "stray", "CLK_A", 12.7, -2.54),
        ("B-139", "not-ascii", "CLK_Å", 12.7, -2.54),
    ];
    for (id, file, net, x, y) in rows {
        let p = only(id, &format!("columns/{file}"));
        assert_eq!((p.net.as_deref(), p.at), (Some(net), at(x, y)), "{id}");
        assert_eq!((p.component.as_deref(), p.pin.as_deref()), (Some("R15"), Some("2")), "{id}");
        assert_eq!((p.side, p.mask), (Access::Layer(1), Some(MaskCover::None)), "{id}");
        assert_eq!((p.size_x, p.size_y, p.rotation_deg), (mm(0.6), mm(1.2), Some(90)), "{id}");
    }
}

#[test]
fn columns_that_are_not_certain_are_not_guessed() {
    assert_eq!(only("B-124", "columns/name-with-blank").net.as_deref(), Some("MOOR LINE"));
    for (id, file) in [("B-128", "decimal-point"), ("B-129", "digit-missing-inside"), ("B-130", "out-of-range")] {
        assert!(load(id, &format!("columns/{file}")).points.is_empty(), "{id}");
    }
    let p = only("B-131", "columns/small-letters");
    assert_eq!((p.net.as_deref(), p.at, p.rotation_deg), (Some("clk_a"), at(12.7, -2.54), Some(90)));
    let p = only("B-133", "columns/tabs");
    assert_eq!((p.net.as_deref(), p.at), (Some("CLK_A"), at(12.7, -2.54)));
    let p = only("B-134", "columns/cut-short");
    assert_eq!((p.at, p.size_x, p.rotation_deg, p.mask), (at(12.7, -2.54), 0, None, None));
    let p = only("B-137", "columns/long-reference");
    assert_eq!((p.component.as_deref(), p.pin), (Some("BUOY1234-2"), None));
    let p = only("B-138", "columns/field-order");
    assert_eq!((p.rotation_deg, p.size_x, p.size_y), (Some(90), mm(1.0), mm(0.5)));
}
