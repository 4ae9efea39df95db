//! Corners, bridges, tabs, cut-outs, joints and necks measured against what was drawn.
//!
//! The truths are the numbers the drawings were made with.

#[path = "support/small.rs"]
mod small;

use landgap_parser::Nm;
use landgap_rules::check::Measured;
use landgap_rules::fact::{Fact, FactKind};
use small::{at, copper, drill, edge, files, fill, rectangle, run, slot, told, way};

fn facts(measured: &Measured, kind: FactKind) -> Vec<&Fact> {
    measured.facts.of(kind).collect()
}

fn least(measured: &Measured, kind: FactKind) -> Option<Nm> {
    measured.facts.of(kind).map(|f| f.value).min()
}

fn near(value: Option<Nm>, truth: Nm) {
    assert!(value.is_some_and(|v| (v - truth).abs() <= 500), "{value:?} instead of {truth}");
}

#[test]
fn a_square_cut_out_has_four_sharp_corners_and_a_slot_none() {
    let square = run(&files(&[("edge.gbr", edge(&rectangle(16.0, 10.0, 9.0, 8.0)))]));
    let corners = facts(&square, FactKind::InnerCorner);
    assert_eq!(corners.len(), 4, "{corners:?}");
    assert!(corners.iter().all(|c| c.value == 0 && c.length == Some(8_000_000)), "{corners:?}");
    assert_eq!(told(&square), [("sharp-inner-corner", "note")]);
    let round = run(&files(&[("edge.gbr", edge(&slot(16.0, 10.0, 9.0, 2.0)))]));
    assert!(facts(&round, FactKind::InnerCorner).is_empty());
    let narrow = run(&files(&[("edge.gbr", edge(&rectangle(16.0, 10.0, 9.0, 2.4)))]));
    assert_eq!(told(&narrow), [], "one pass of the cutter makes it");
}

#[test]
fn outer_corners_are_none_and_a_notch_has_two_inner_ones() {
    let plain = run(&files(&[]));
    assert!(facts(&plain, FactKind::InnerCorner).is_empty());
    let notch =
        way(&[(0.0, 0.0), (17.0, 0.0), (17.0, 6.0), (24.0, 6.0), (24.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)]);
    let edge = small::artwork("Profile,NP", &format!("D12*\n{notch}"));
    let measured = run(&files(&[("edge.gbr", Some(edge))]));
    assert_eq!(facts(&measured, FactKind::InnerCorner).len(), 2);
}

/// A square opening whose corners are rounded, given as arcs: the radius that was drawn.
fn rounded(r: f64) -> String {
    let (x, y, w, h) = (16.0, 10.0, 9.0, 8.0);
    let arc = |px: f64, py: f64, i: f64, j: f64| {
        format!("G03*\nX{:.0}Y{:.0}I{:.0}J{:.0}D01*\nG01*\n", px * 1e6, py * 1e6, i * 1e6, j * 1e6)
    };
    [
        at(x + r, y, 2),
        at(x + w - r, y, 1),
        arc(x + w, y + r, 0.0, r),
        at(x + w, y + h - r, 1),
        arc(x + w - r, y + h, -r, 0.0),
        at(x + r, y + h, 1),
        arc(x, y + h - r, 0.0, -r),
        at(x, y + r, 1),
        arc(x + r, y, r, 0.0),
    ]
    .concat()
}

#[test]
fn the_radius_of_a_corner_is_the_one_drawn() {
    for (radius, says) in [(0.5, true), (1.19, true), (1.2, false), (1.5, false)] {
        let measured = run(&files(&[("edge.gbr", edge(&rounded(radius)))]));
        let corners = facts(&measured, FactKind::InnerCorner);
        assert_eq!(corners.len(), 4, "{radius}: {corners:?}");
        for corner in corners {
            let off = (corner.value as f64 / 1e6 - radius).abs();
            assert!(off * 1e6 <= corner.uncertainty as f64, "{radius}: {corner:?}");
        }
        assert_eq!(told(&measured) == [("sharp-inner-corner", "note")], says, "{radius}: {:?}", told(&measured));
    }
}

#[test]
fn a_hole_in_the_corner_relieves_it_and_a_chamfer_is_open_enough() {
    let corners = [(16.0, 10.0), (25.0, 10.0), (25.0, 18.0), (16.0, 18.0)];
    let relieved = run(&files(&[
        ("edge.gbr", edge(&way(&corners))),
        ("npth.drl", Some(drill("NonPlated,1,2,NPTH", 1.0, &corners))),
    ]));
    assert!(!told(&relieved).iter().any(|(rule, _)| *rule == "sharp-inner-corner"), "{:?}", told(&relieved));
    let chamfered = way(&[
        (17.0, 10.0),
        (24.0, 10.0),
        (25.0, 11.0),
        (25.0, 17.0),
        (24.0, 18.0),
        (17.0, 18.0),
        (16.0, 17.0),
        (16.0, 11.0),
    ]);
    let measured = run(&files(&[("edge.gbr", edge(&chamfered))]));
    assert!(facts(&measured, FactKind::InnerCorner).is_empty());
}

#[test]
fn a_bridge_is_as_wide_as_the_board_between_two_cuts() {
    // Two long slots, one above the other: 1.2 mm of board between them.
    let two = slot(15.0, 10.0, 12.0, 2.5) + &slot(15.0, 13.7, 12.0, 2.5);
    let measured = run(&files(&[("edge.gbr", edge(&two))]));
    near(least(&measured, FactKind::Bridge), 1_200_000);
    assert!(facts(&measured, FactKind::Tab).is_empty());
    assert_eq!(told(&measured), [("thin-bridge", "ask")]);
    let wide = slot(15.0, 10.0, 12.0, 2.5) + &slot(15.0, 14.5, 12.0, 2.5);
    let measured = run(&files(&[("edge.gbr", edge(&wide))]));
    near(least(&measured, FactKind::Bridge), 2_000_000);
    assert_eq!(told(&measured), []);
}

#[test]
fn material_between_the_ends_of_two_slots_is_a_tab() {
    let two = slot(12.0, 14.0, 8.0, 2.0) + &slot(21.2, 14.0, 8.0, 2.0);
    let measured = run(&files(&[("edge.gbr", edge(&two))]));
    near(least(&measured, FactKind::Tab), 1_200_000);
    assert!(facts(&measured, FactKind::Bridge).is_empty());
    // On a single board nothing is broken out, so it is a bridge as any other.
    assert_eq!(told(&measured), [("thin-bridge", "ask")]);
}

#[test]
fn a_cut_out_is_as_wide_as_drawn_and_a_round_one_is_a_hole() {
    let measured = run(&files(&[("edge.gbr", edge(&rectangle(16.0, 12.0, 8.0, 0.79)))]));
    near(least(&measured, FactKind::CutOut), 790_000);
    assert_eq!(told(&measured), [("narrow-cutout", "ask")]);
    let at_limit = run(&files(&[("edge.gbr", edge(&rectangle(16.0, 12.0, 8.0, 0.8)))]));
    assert_eq!(told(&at_limit), []);
    let round = run(&files(&[("edge.gbr", edge(&slot(16.0, 12.0, 0.601, 0.6)))]));
    assert!(facts(&round, FactKind::CutOut).is_empty());
}

#[test]
fn a_small_opening_beside_the_edge_is_judged_as_a_hole() {
    let beside = |gap: f64| run(&files(&[("edge.gbr", edge(&slot(18.0, gap, 3.0, 1.0)))]));
    assert_eq!(told(&beside(0.25)), []);
    assert_eq!(told(&beside(0.24)), [("hole-near-edge", "ask")]);
}

#[test]
fn copper_near_a_score_line_is_measured_to_its_middle() {
    let line = format!("D12*\n{}{}", at(20.0, 0.0, 2), at(20.0, 30.0, 1));
    let score = |x: f64| {
        run(&files(&[
            ("score.gbr", Some(small::artwork("Vcut", &line))),
            ("top.gbr", copper("Copper,L1,Top", &fill(x, 12.0, 3.0, 3.0))),
        ]))
    };
    near(least(&score(20.349), FactKind::CopperToScore), 349_000);
    assert!(told(&score(20.349)).contains(&("copper-near-score", "ask")), "{:?}", told(&score(20.349)));
    assert!(told(&score(20.5)).is_empty(), "{:?}", told(&score(20.5)));
}

#[test]
fn a_hole_that_grazes_copper_is_a_doubtful_joint_only_where_nothing_else_joins_it() {
    // A via's wall (radius 0.2) reaches 0.03 mm into an area on the bottom.
    let via = (18.0, 15.0);
    let land = format!("D11*\n{}", at(via.0, via.1, 3));
    let area = fill(via.0 + 0.17, 13.0, 4.0, 4.0);
    let places: Vec<(f64, f64)> = small::PLACES.iter().copied().chain([via]).collect();
    let holes = Some(drill("Plated,1,2,PTH", 0.4, &places));
    let grazed = run(&files(&[
        ("top.gbr", copper("Copper,L1,Top", &land)),
        ("bottom.gbr", copper("Copper,L2,Bot", &area)),
        ("holes.drl", holes.clone()),
    ]));
    near(least(&grazed, FactKind::Joint), 30_000);
    let other = (21.0, 15.0);
    let both: Vec<(f64, f64)> = places.iter().copied().chain([other]).collect();
    let joined = run(&files(&[
        (
            "top.gbr",
            copper(
                "Copper,L1,Top",
                &format!("{land}{}D10*\n{}{}", at(other.0, other.1, 3), at(via.0, via.1, 2), at(other.0, other.1, 1)),
            ),
        ),
        ("bottom.gbr", copper("Copper,L2,Bot", &area)),
        ("holes.drl", Some(drill("Plated,1,2,PTH", 0.4, &both))),
    ]));
    assert_eq!(least(&joined, FactKind::Joint), None, "the second via holds the area firmly");
}

#[test]
fn two_lands_that_overlap_by_a_hair_have_a_neck_and_a_track_has_none() {
    // Two discs of 1 mm whose middles are 0.9999 mm apart: a lens 2·√(0.5² − 0.49995²) = 0.01414 mm wide.
    let hair = format!("D11*\n{}{}", at(18.0, 15.0, 3), at(18.9999, 15.0, 3));
    let measured = run(&files(&[("top.gbr", copper("Copper,L1,Top", &hair))]));
    let neck = least(&measured, FactKind::Neck);
    // Both curves lie up to 0.2 µm off, which moves the points where they cross by far more than that.
    assert!(neck.is_some_and(|n| (5_000..=25_000).contains(&n)), "{neck:?}");
    let track =
        format!("D11*\n{}{}D12*\n{}{}", at(18.0, 15.0, 3), at(21.0, 15.0, 3), at(18.0, 15.0, 2), at(21.0, 15.0, 1));
    let joined = run(&files(&[("top.gbr", copper("Copper,L1,Top", &track))]));
    assert_eq!(least(&joined, FactKind::Neck), None);
}
