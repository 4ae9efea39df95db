//! Distances on the final image against closed forms worked by hand. Source of each truth: plane
//! geometry; the shapes are written out as artwork text, in mm and in inch, turned and mirrored.

#[path = "support/pose.rs"]
mod pose;

use landgap_rules::check::Measured;
use landgap_rules::fact::{Fact, FactKind};
use pose::{POSES, Pose, copper, file, run};

fn least(board: &Measured, kind: FactKind) -> Fact {
    board.facts.of(kind).min_by_key(|f| f.value).unwrap_or_else(|| panic!("no {} measured", kind.word())).clone()
}

fn assert_least(board: &Measured, kind: FactKind, expected_um: f64, pose: Pose) {
    let fact = least(board, kind);
    let found = fact.value as f64 / 1000.0;
    assert!((found - expected_um).abs() <= 0.5, "{} is {found} µm, expected {expected_um} ({pose:?})", kind.word());
    assert!(
        (fact.value as f64 - expected_um * 1000.0).abs() <= fact.uncertainty as f64,
        "outside its own uncertainty ({pose:?})"
    );
}

#[test]
fn gap_between_parallel_tracks_is_their_pitch_less_their_width() {
    for pose in POSES {
        let body = pose.track(150.0, (-3000.0, 0.0), (3000.0, 0.0), 10)
            + &pose.track(200.0, (-3000.0, 300.0), (3000.0, 300.0), 11);
        assert_least(&run(copper(pose, &body)), FactKind::Gap, 125.0, pose);
    }
}

#[test]
fn gap_between_discs_is_centre_distance_less_both_radii() {
    for pose in POSES {
        let body = pose.disc(1000.0, (0.0, 0.0), 10) + &pose.disc(600.0, (600.0, 800.0), 11);
        assert_least(&run(copper(pose, &body)), FactKind::Gap, 1000.0 - 500.0 - 300.0, pose);
    }
}

#[test]
fn width_of_a_track_is_its_pen_and_a_round_land_has_none() {
    for pose in POSES {
        let body = pose.track(120.0, (-3000.0, 0.0), (3000.0, 700.0), 10) + &pose.disc(250.0, (0.0, 4000.0), 11);
        let board = run(copper(pose, &body));
        assert_least(&board, FactKind::Width, 120.0, pose);
        assert!(board.facts.of(FactKind::Width).all(|f| f.value < 125_000), "the round land is no width ({pose:?})");
    }
}

#[test]
fn a_shoulder_where_a_track_meets_a_land_is_no_width() {
    for pose in POSES {
        let body = pose.disc(1600.0, (0.0, 0.0), 10) + &pose.track(600.0, (0.0, 0.0), (4000.0, 0.0), 11);
        assert!(run(copper(pose, &body)).facts.of(FactKind::Width).next().is_none(), "{pose:?}");
    }
}

#[test]
fn ring_is_land_radius_less_hole_radius_less_offset() {
    for pose in POSES {
        let land = pose.disc(600.0, (0.0, 0.0), 10);
        let mut files = copper(pose, &land);
        files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &land));
        files.push(file("plated.xnc", pose.drill(&[(300.0, 30.0, 40.0)], true)));
        assert_least(&run(files), FactKind::RingDrawn, 300.0 - 150.0 - 50.0, pose);
    }
}

#[test]
fn a_hole_outside_all_copper_has_no_ring_and_a_hole_at_a_track_end_breaks_out() {
    for pose in POSES {
        let mut files = copper(pose, &pose.track(200.0, (0.0, 0.0), (4000.0, 0.0), 10));
        files.push(file("plated.xnc", pose.drill(&[(300.0, 0.0, 0.0), (300.0, 0.0, 5000.0)], true)));
        let board = run(files);
        assert_least(&board, FactKind::RingDrawn, 100.0 - 150.0, pose);
        assert_eq!(board.facts.of(FactKind::RingDrawn).count(), 1, "{pose:?}");
        assert!(board.facts.landed.iter().any(Vec::is_empty), "{pose:?}");
    }
}

#[test]
fn hole_to_copper_and_hole_to_hole_are_wall_to_wall() {
    for pose in POSES {
        let mut files = copper(pose, &pose.track(200.0, (-3000.0, 0.0), (3000.0, 0.0), 10));
        files.push(file("unplated.xnc", pose.drill(&[(1000.0, 0.0, 800.0), (1000.0, 900.0, 2000.0)], false)));
        let board = run(files);
        assert_least(&board, FactKind::HoleToCopper, 800.0 - 500.0 - 100.0, pose);
        assert_least(&board, FactKind::HoleToHole, 1500.0 - 1000.0, pose);
    }
}

#[test]
fn copper_and_holes_to_the_edge_count_from_the_line_centre() {
    for pose in POSES {
        let mut files = copper(pose, &pose.track(200.0, (9700.0, -3000.0), (9700.0, 3000.0), 10));
        files.push(file("unplated.xnc", pose.drill(&[(1000.0, -9000.0, 0.0)], false)));
        let board = run(files);
        assert_least(&board, FactKind::CopperToEdge, 200.0, pose);
        assert_least(&board, FactKind::HoleToEdge, 500.0, pose);
    }
}

#[test]
fn copper_over_the_edge_is_negative_by_how_far() {
    for pose in POSES {
        let board = run(copper(pose, &pose.track(200.0, (9950.0, -3000.0), (9950.0, 3000.0), 10)));
        assert_least(&board, FactKind::CopperToEdge, -50.0, pose);
    }
}

#[test]
fn web_is_the_mask_left_between_two_openings() {
    for pose in POSES {
        let mut files = copper(pose, &pose.disc(500.0, (0.0, 0.0), 10));
        let openings = pose.disc(600.0, (0.0, 0.0), 10) + &pose.disc(600.0, (0.0, 700.0), 11);
        files.push(file("mask.gbr", pose.artwork("Soldermask,Top", &openings)));
        let board = run(files);
        assert_least(&board, FactKind::Web, 100.0, pose);
        assert_least(&board, FactKind::MaskClearance, 50.0, pose);
    }
}

#[test]
fn copper_on_two_layers_is_one_net_through_a_plated_hole_and_two_without() {
    for (plated, nets) in [(true, 1), (false, 2)] {
        let pose = POSES[0];
        let land = pose.disc(600.0, (0.0, 0.0), 10);
        let mut files = copper(pose, &land);
        files[1] = file("bottom.gbr", pose.artwork("Copper,L2,Bot", &land));
        files.push(file("holes.xnc", pose.drill(&[(300.0, 0.0, 0.0)], plated)));
        assert_eq!(run(files).facts.net_names.len(), nets);
    }
}

#[test]
fn clear_takes_away_only_what_was_drawn_before_it() {
    // A 4 × 4 mm plane with a 1 mm disc cleared, then a 0.5 mm disc drawn in the clearance.
    for pose in POSES {
        let corner = |x: f64, y: f64| pose.at(x, y);
        let plane = format!(
            "G36*\n{}D02*\n{}D01*\n{}D01*\n{}D01*\n{}D01*\nG37*\n",
            corner(-2000.0, -2000.0),
            corner(2000.0, -2000.0),
            corner(2000.0, 2000.0),
            corner(-2000.0, 2000.0),
            corner(-2000.0, -2000.0)
        );
        let body =
            plane + "%LPC*%\n" + &pose.disc(1000.0, (0.0, 0.0), 10) + "%LPD*%\n" + &pose.disc(500.0, (0.0, 0.0), 11);
        let board = run(copper(pose, &body));
        let expected = 16.0 - std::f64::consts::PI * (0.25 - 0.0625);
        assert!((board.facts.layers[0].copper_mm2 - expected).abs() < 1e-4, "{}", board.facts.layers[0].copper_mm2);
        assert_eq!(board.facts.layers[0].islands, 2);
        assert_least(&board, FactKind::Gap, 250.0, pose);
    }
}
