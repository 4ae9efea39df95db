//! What looks like a fault of the set, the outline or the holes and is none: a careful engineer asks nothing.
//!
//! The cases are the look-alikes of the trade (rows A1 to A16, C1 to C16, D1 to D17), each drawn on a small sound board;
//! beside each stands the fault it looks like, which must be found.

#[path = "support/small.rs"]
mod small;

use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::judge;
use small::{PLACES, artwork, asked, at, copper, drill, edge, files, flashes, rectangle, run, slot, told};

fn quiet(changes: &[(&str, Option<String>)]) {
    let measured = run(&files(changes));
    assert_eq!(asked(&measured), [], "{:?}", changes.iter().map(|c| c.0).collect::<Vec<_>>());
}

fn asks(changes: &[(&str, Option<String>)], rule: &str) {
    let found = asked(&run(&files(changes)));
    assert!(found.iter().any(|(r, _)| *r == rule), "{rule} is not asked: {found:?}");
}

#[test]
fn the_sound_board_is_quiet() {
    let measured = run(&files(&[]));
    assert_eq!(told(&measured), []);
}

#[test]
fn a1_empty_files_where_nothing_is_needed() {
    quiet(&[
        ("npth.drl", Some(drill("NonPlated,1,2,NPTH", 3.0, &[]))),
        ("legend.gbr", Some(artwork("Legend,Top", ""))),
        ("paste.gbr", Some(artwork("Paste,Top", ""))),
    ]);
    asks(&[("top.gbr", Some("no artwork at all".into()))], "missing-layer");
}

#[test]
fn a2_the_same_image_written_twice() {
    let twice = artwork("Copper,L1,Top", &format!("G04 another order*\nD11*\n{}", reversed()));
    quiet(&[("top_copy.gbr", Some(twice))]);
    let other = artwork("Copper,L1,Top", &format!("D11*\n{}{}", flashes(&PLACES), at(20.0, 15.0, 3)));
    asks(&[("top_copy.gbr", Some(other))], "rival-sets");
}

fn reversed() -> String {
    PLACES.iter().rev().map(|p| at(p.0, p.1, 3)).collect()
}

#[test]
fn a3_empty_files_for_layers_the_board_does_not_have() {
    quiet(&[("in1.gbr", Some(artwork("", ""))), ("in2.gbr", Some(artwork("", "")))]);
    asks(&[("bottom.gbr", None)], "missing-layer");
}

#[test]
fn a6_a_board_that_fits_both_ways_and_a_bottom_text_that_reads_mirrored() {
    let even: Vec<(f64, f64)> = PLACES.iter().flat_map(|p| [*p, (40.0 - p.0, p.1)]).collect();
    let apart = |list: &[(f64, f64)]| -> Vec<(f64, f64)> {
        let mut kept: Vec<(f64, f64)> = Vec::new();
        for p in list {
            if kept.iter().all(|q| (p.0 - q.0).hypot(p.1 - q.1) > 2.0) {
                kept.push(*p);
            }
        }
        kept
    };
    let even: Vec<(f64, f64)> =
        apart(&even).into_iter().filter(|p| even.iter().any(|q| (q.0 - (40.0 - p.0)).abs() < 1e-9)).collect();
    let layer = |f: &str| Some(artwork(f, &format!("D11*\n{}", flashes(&even))));
    quiet(&[
        ("top.gbr", layer("Copper,L1,Top")),
        ("bottom.gbr", layer("Copper,L2,Bot")),
        ("topmask.gbr", layer("Soldermask,Top")),
        ("bottommask.gbr", layer("Soldermask,Bot")),
        ("holes.drl", Some(drill("Plated,1,2,PTH", 0.4, &even))),
    ]);
}

#[test]
fn a8_an_area_with_clearances_cut_out_is_no_negative() {
    let area = small::fill(1.0, 1.0, 38.0, 28.0);
    let clear = format!("%LPC*%\n%ADD20C,1.6*%D20*\n{}%LPD*%\nD11*\n{}", flashes(&PLACES), flashes(&PLACES));
    quiet(&[("bottom.gbr", Some(artwork("Copper,L2,Bot", &format!("{area}{clear}"))))]);
}

#[test]
fn a12_areas_filled_with_strokes_round_lands_that_are_set_down() {
    let strokes: String =
        (0..1200).map(|i| at(17.0, 8.0 + f64::from(i) / 100.0, 2) + &at(31.0, 8.0 + f64::from(i) / 100.0, 1)).collect();
    quiet(&[("top.gbr", copper("Copper,L1,Top", &format!("D10*\n{strokes}")))]);
}

#[test]
fn c2_an_outline_drawn_twice_or_with_ends_a_rounding_apart() {
    quiet(&[("edge.gbr", edge(&rectangle(0.0, 0.0, 40.0, 30.0)))]);
    let rounded = format!(
        "D12*\n{}{}{}{}{}",
        at(0.0, 0.003, 2),
        at(0.0, 30.0, 1),
        at(40.0, 30.0, 1),
        at(40.0, 0.0, 1),
        at(0.0, 0.0, 1)
    );
    quiet(&[("edge.gbr", Some(artwork("Profile,NP", &rounded)))]);
    let open = rounded.replacen(&at(0.0, 0.003, 2), &at(0.0, 3.6, 2), 1);
    asks(&[("edge.gbr", Some(artwork("Profile,NP", &open)))], "open-outline");
}

#[test]
fn c3_the_same_outline_in_two_files() {
    quiet(&[("edge2.gbr", edge(""))]);
    let other = artwork("Profile,NP", &format!("D12*\n{}", rectangle(0.0, 0.0, 44.0, 30.0)));
    asks(&[("edge2.gbr", Some(other))], "rival-outlines");
}

#[test]
fn c4_a_thin_pen_never_matters() {
    for pen in ["0", "0.15"] {
        let thin = format!(
            "%FSLAX46Y46*%%MOMM*%%TF.FileFunction,Profile,NP*%%ADD10C,{pen}*%\nG01*D10*\n{}M02*\n",
            rectangle(0.0, 0.0, 40.0, 30.0)
        );
        quiet(&[("edge.gbr", Some(thin))]);
    }
}

#[test]
fn c5_the_outline_of_a_part_in_the_legend_is_no_cut_out() {
    let legend = format!("D12*\n{}", rectangle(17.0, 10.0, 8.0, 6.0));
    quiet(&[("legend.gbr", Some(artwork("Legend,Top", &legend)))]);
}

#[test]
fn c7_overlapping_hits_are_a_slot() {
    let hits: Vec<(f64, f64)> = (0..6).map(|i| (18.0 + f64::from(i) * 0.4, 15.0)).collect();
    quiet(&[("npth.drl", Some(drill("NonPlated,1,2,NPTH", 1.0, &hits)))]);
    asks(&[("edge.gbr", edge(&slot(17.0, 12.0, 8.0, 0.6)))], "narrow-cutout");
}

#[test]
fn c10_break_off_holes_may_lie_close_to_each_other_and_to_the_edge() {
    let hits: Vec<(f64, f64)> = (0..6).map(|i| (17.0 + f64::from(i) * 0.9, 0.35)).collect();
    quiet(&[("npth.drl", Some(drill("NonPlated,1,2,NPTH", 0.5, &hits)))]);
}

#[test]
fn d1_a_plate_with_its_holes_in_the_outline() {
    let bare = artwork("Copper,L1,Top", &small::fill(4.0, 4.0, 32.0, 5.0));
    let mask = artwork("Soldermask,Top", &small::fill(5.0, 5.0, 3.0, 3.0));
    let holes = slot(10.0, 15.0, 3.2, 3.199) + &slot(27.0, 15.0, 3.2, 3.199);
    quiet(&[
        ("top.gbr", Some(bare)),
        ("bottom.gbr", None),
        ("topmask.gbr", Some(mask)),
        ("bottommask.gbr", None),
        ("holes.drl", None),
        ("edge.gbr", edge(&holes)),
    ]);
    asks(&[("holes.drl", None)], "missing-drill");
}

#[test]
fn d7_the_same_hole_given_twice_alike_is_drilled_once() {
    let twice: Vec<(f64, f64)> = PLACES.iter().chain(&PLACES[..3]).copied().collect();
    quiet(&[("holes.drl", Some(drill("Plated,1,2,PTH", 0.4, &twice)))]);
    asks(&[("more.drl", Some(drill("Plated,1,2,PTH", 0.6, &PLACES[..1])))], "doubled-hole");
}

#[test]
fn d12_holes_off_their_lands_by_no_more_than_rounding() {
    let off: Vec<(f64, f64)> = PLACES.iter().map(|p| (p.0 + 0.012, p.1 - 0.012)).collect();
    quiet(&[("holes.drl", Some(drill("Plated,1,2,PTH", 0.4, &off)))]);
    // A shift alone is an alignment: it is told as a fix, with the shift.
    let far: Vec<(f64, f64)> = PLACES.iter().map(|p| (p.0 + 0.4, p.1)).collect();
    let measured = run(&files(&[("holes.drl", Some(drill("Plated,1,2,PTH", 0.4, &far)))]));
    let standard = Capability::named("standard").expect("a profile of the program");
    let queries = judge(&measured, &standard, &Order::default()).queries;
    assert!(queries.iter().any(|q| q.rule == "shifted-holes"), "the shift is told");
}

#[test]
fn d13_test_lands_that_face_each_other_by_chance() {
    let land = format!("%ADD30C,1.3*%D30*\n{}", at(20.0, 15.0, 3));
    quiet(&[("top.gbr", copper("Copper,L1,Top", &land)), ("bottom.gbr", copper("Copper,L2,Bot", &land))]);
    let like = at(20.0, 15.0, 3);
    asks(
        &[("top.gbr", copper("Copper,L1,Top", &like)), ("bottom.gbr", copper("Copper,L2,Bot", &like))],
        "missing-hole",
    );
}
