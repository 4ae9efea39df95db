//! Oddly drawn and misplaced layers on boards of our own: sound, just at, just over, look-alike.
//! Limits as in the pages of the rules (common practice, no source); Gerber clauses of 2021.02.

use landgap_parser::Point;
use landgap_rules::board::{Board, Registration, Residual, Role};

use super::common::{doubts, own};

/// An artwork file in millimetres, four decimals, with apertures 10 (0.2 mm) and 11 (1 mm) round.
pub fn artwork(function: &str, body: &str) -> String {
    format!("%FSLAX44Y44*%%MOMM*%%TF.FileFunction,{function}*%%ADD10C,0.2*%%ADD11C,1*%\nG01*G75*\n{body}M02*\n")
}

pub fn rectangle(x: f64, y: f64, w: f64, h: f64) -> String {
    let at = |x: f64, y: f64, d: u8| format!("X{:.0}Y{:.0}D0{d}*\n", x * 1e4, y * 1e4);
    let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)];
    let draws: String = corners[1..].iter().map(|c| at(c.0, c.1, 1)).collect();
    format!("{}{draws}", at(x, y, 2))
}

/// Places without symmetry, in millimetres, inside 40 by 30, at least 2 mm apart.
pub fn places(n: usize) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    let mut state = 12_345u32;
    let mut next = |most: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        2.0 + f64::from((state >> 8) % most) / 10.0
    };
    while out.len() < n {
        let p = (next(360), next(240));
        if out.iter().all(|q| (p.0 - q.0).hypot(p.1 - q.1) >= 2.0) {
            out.push(p);
        }
    }
    out
}

pub fn flashes(at: &[(f64, f64)], by: (f64, f64), mirror: f64) -> String {
    at.iter().map(|p| format!("X{:.0}Y{:.0}D03*\n", (p.0 * mirror + by.0) * 1e4, (p.1 + by.1) * 1e4)).collect()
}

fn drill(at: &[(f64, f64)]) -> String {
    let hits: String = at.iter().map(|p| format!("X{:.4}Y{:.4}\n", p.0, p.1)).collect();
    format!("M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC\nT1C0.4\n%\nT1\n{hits}M30\n")
}

/// A sound board of two layers with masks; each layer may be given by the caller instead.
pub fn board(changes: &[(&str, Option<String>)]) -> Board {
    let at = places(40);
    let layer = |function: &str| artwork(function, &format!("D11*\n{}", flashes(&at, (0.0, 0.0), 1.0)));
    let mut files: Vec<(String, String)> = vec![
        ("top.gbr".into(), layer("Copper,L1,Top")),
        ("bottom.gbr".into(), layer("Copper,L2,Bot")),
        ("topmask.gbr".into(), layer("Soldermask,Top")),
        ("bottommask.gbr".into(), layer("Soldermask,Bot")),
        ("edge.gbr".into(), artwork("Profile,NP", &format!("D10*\n{}", rectangle(0.0, 0.0, 40.0, 30.0)))),
        ("holes.drl".into(), drill(&at)),
    ];
    for (path, text) in changes {
        files.retain(|f| f.0 != *path);
        files.extend(text.clone().map(|t| ((*path).to_owned(), t)));
    }
    let files: Vec<(&str, &str)> = files.iter().map(|(p, t)| (p.as_str(), t.as_str())).collect();
    own(&files)
}

pub fn seen(board: &Board, rule: &str) -> String {
    board.doubts.iter().filter(|d| d.rule == rule).map(|d| d.seen.clone()).collect::<Vec<_>>().join("; ")
}

#[test]
fn a_sound_board_raises_no_doubt() {
    assert_eq!(doubts(&board(&[])), [""; 0]);
}

#[test]
fn a_shifted_layer_is_told_with_the_shift_and_a_mirrored_one_as_mirrored() {
    let moved =
        |function: &str, by, mirror| Some(artwork(function, &format!("D11*\n{}", flashes(&places(40), by, mirror))));
    let shifted = board(&[("topmask.gbr", moved("Soldermask,Top", (0.3, -0.1), 1.0))]);
    assert_eq!(doubts(&shifted), ["misplaced-layer"]);
    assert!(seen(&shifted, "misplaced-layer").contains("moved by -0.300 mm in x and 0.100 mm in y"));
    let mirrored = board(&[("top.gbr", moved("Copper,L1,Top", (40.0, 0.0), -1.0))]);
    assert_eq!(doubts(&mirrored), ["mirrored-layer"]);
    // Within the 25 µm in which a hole lands on its land (formats of drill data, from memory) nothing is out of place.
    let near = board(&[("topmask.gbr", moved("Soldermask,Top", (0.02, 0.0), 1.0))]);
    assert_eq!(doubts(&near), [""; 0]);
}

/// How a file lies, by the board's own account.
fn laid<'a>(board: &'a Board, path: &str) -> &'a Registration {
    let file = board.files.iter().position(|f| f.path == path).expect("its file") as u32;
    board.registrations.iter().find(|r| r.file == file).unwrap_or_else(|| panic!("{path}: {:?}", board.registrations))
}

#[test]
fn every_layer_with_lands_says_how_it_lies_and_what_is_left() {
    let sound = board(&[]);
    for path in ["top.gbr", "bottom.gbr", "topmask.gbr", "bottommask.gbr", "holes.drl"] {
        let own = laid(&sound, path);
        assert_eq!((own.points, own.as_sent.share, own.better), (40, 1.0, None), "{path}");
        assert_eq!(own.as_sent.residual, Some(Residual { max: 0, rms: 0 }), "{path}");
        assert_eq!(own.as_sent.shift, Point::new(0, 0));
    }
    let at = |by, scale: f64| {
        let places: Vec<(f64, f64)> = places(40).iter().map(|p| (p.0 * scale, p.1 * scale)).collect();
        Some(artwork("Soldermask,Top", &format!("D11*\n{}", flashes(&places, by, 1.0))))
    };
    // 20 µm within what counts as landing: as sent, with the shift that is left.
    let near = board(&[("topmask.gbr", at((0.02, 0.0), 1.0))]);
    assert_eq!(laid(&near, "topmask.gbr").as_sent.shift, Point::new(-20_000, 0));
    let shifted = board(&[("topmask.gbr", at((0.3, -0.1), 1.0))]);
    assert_eq!(laid(&shifted, "topmask.gbr").pure_shift(), Some(Point::new(-300_000, 100_000)));
    // A film a thousandth too long is found with its factor, and is no mere shift.
    let long = board(&[("topmask.gbr", at((0.0, 0.0), 1.002))]);
    let own = laid(&long, "topmask.gbr");
    let better = own.better.expect("a better way");
    assert!((better.scale - 1.0 / 1.002).abs() < 1e-5 && own.pure_shift().is_none(), "{own:?}");
    assert!(doubts(&long).contains(&"misplaced-layer") && seen(&long, "misplaced-layer").contains("scaled by 0.998"));
}

#[test]
fn an_outline_elsewhere_is_told() {
    let edge = |x| Some(artwork("Profile,NP", &format!("D10*\n{}", rectangle(x, 0.0, 40.0, 30.0))));
    assert_eq!(doubts(&board(&[("edge.gbr", edge(100.0))])), ["misplaced-layer"]);
}

#[test]
fn a_missing_outer_layer_is_told_by_its_mask_and_an_odd_number_of_layers_by_itself() {
    let single = board(&[("bottom.gbr", None)]);
    assert!(seen(&single, "missing-layer").contains("no bottom copper"), "{:?}", doubts(&single));
    let layer = |f: &str| Some(artwork(f, &format!("D11*\n{}", flashes(&places(40), (0.0, 0.0), 1.0))));
    let three = board(&[("bottom.gbr", layer("Copper,L3,Bot")), ("inner.gbr", layer("Copper,L2,Inr"))]);
    assert!(seen(&three, "missing-layer").contains("an odd number"), "{:?}", doubts(&three));
}

#[test]
fn painted_copper_needs_a_thousand_strokes_and_not_one_land() {
    let strokes =
        |n: u32| -> String { (0..n).map(|i| format!("X10000Y{0}D02*\nX390000Y{0}D01*\n", 10_000 + i * 250)).collect() };
    let painted = |n, more: &str| {
        let lands = format!("D11*\n{more}");
        let body = format!("D10*\n{}{}", strokes(n), if more.is_empty() { "" } else { &lands });
        let all = board(&[("top.gbr", Some(artwork("Copper,L1,Top", &body)))]);
        seen(&all, "painted-copper")
    };
    assert!(painted(1_000, "").contains("1000 strokes"));
    assert_eq!(painted(999, ""), "");
    assert_eq!(painted(1_000, "X50000Y50000D03*\n"), "");
}

#[test]
fn apertures_without_definition_are_asked_about_and_those_of_no_size_told() {
    let top = |body: &str| {
        let body = format!("D11*\n{}{body}", flashes(&places(40), (0.0, 0.0), 1.0));
        board(&[("top.gbr", Some(artwork("Copper,L1,Top", &body)))])
    };
    // 4.6: an aperture must be defined before it is used.
    let undefined = top("D77*\nX10000Y10000D03*\n");
    assert!(undefined.doubts.iter().any(|d| d.rule == "unsized-aperture" && !d.readings.is_empty()));
    // 4.3.2: a circle may have no size; it images nothing.
    let sizeless = top("%ADD12C,0*%D12*\nX10000Y10000D02*\nX20000Y10000D01*\n");
    assert!(sizeless.doubts.iter().any(|d| d.rule == "unsized-aperture" && d.readings.is_empty()));
    assert_eq!(doubts(&top("")), [""; 0]);
}

#[test]
fn copper_outside_is_told_and_holes_outside_are_asked_about() {
    let top = |x: f64| {
        let stroke = format!("D10*\nX{0:.0}Y0D02*\nX{0:.0}Y10000D01*\n", x * 1e4);
        let body = format!("D11*\n{}{stroke}", flashes(&places(40), (0.0, 0.0), 1.0));
        seen(&board(&[("top.gbr", Some(artwork("Copper,L1,Top", &body)))]), "stray-outside")
    };
    // The stroke runs just at, and just over, 1 mm beyond the right edge at 40 mm.
    assert_eq!(top(41.0), "");
    assert!(top(41.001).contains("outside the outline"));
    let mut at = places(40);
    at.push((45.0, 10.0));
    let holes = board(&[("holes.drl", Some(drill(&at)))]);
    assert!(seen(&holes, "stray-outside").contains("1 of 41 holes"), "{:?}", doubts(&holes));
}

#[test]
fn boards_side_by_side_are_asked_about_and_an_array_in_its_frame_is_told() {
    let edge = |body: String| {
        let all = board(&[("edge.gbr", Some(artwork("Profile,NP", &format!("D10*\n{body}"))))]);
        all.doubts.iter().find(|d| d.rule == "array-or-single").map(|d| d.readings.len())
    };
    let two = |width| rectangle(0.0, 0.0, 40.0, 30.0) + &rectangle(45.0, 0.0, width, 30.0);
    assert_eq!(edge(two(40.0)), Some(2));
    assert_eq!(edge(two(40.2)), Some(2), "just at 0.2 mm they are alike");
    assert_eq!(edge(two(40.21)), None, "just over 0.2 mm they are not");
    assert_eq!(edge(two(40.0) + &rectangle(-5.0, -5.0, 95.0, 40.0)), Some(0), "told, not asked");
    // Equal cut-outs of one board are no boards.
    let cutouts = rectangle(6.0, 6.0, 6.0, 6.0) + &rectangle(20.0, 6.0, 6.0, 6.0);
    assert_eq!(edge(rectangle(0.0, 0.0, 40.0, 30.0) + &cutouts), None);
}

#[test]
fn layers_without_names_and_attributes_are_told_by_content() {
    let at = places(40);
    let lone = [(5.5, 28.5), (9.0, 28.9), (14.2, 28.6), (22.0, 28.8), (30.5, 28.4), (35.0, 28.7)];
    let plain = |body: String| artwork("Other,x", &body).replace("%TF.FileFunction,Other,x*%", "");
    let pads =
        |more: &[(f64, f64)]| format!("D11*\n{}{}", flashes(&at, (0.0, 0.0), 1.0), flashes(more, (0.0, 0.0), 1.0));
    let tracks: String = at
        .windows(2)
        .map(|p| {
            format!("X{:.0}Y{:.0}D02*\nX{:.0}Y{:.0}D01*\n", p[0].0 * 1e4, p[0].1 * 1e4, p[1].0 * 1e4, p[1].1 * 1e4)
        })
        .collect();
    let copper = plain(format!("{}D10*\n{tracks}", pads(&lone)));
    let files = [
        ("a.bin", copper),
        ("b.bin", plain(pads(&lone))),
        ("c.bin", plain(format!("D11*\n{}", flashes(&lone, (0.0, 0.0), 1.0)))),
        ("d.bin", plain(format!("D10*\n{}", rectangle(0.0, 0.0, 40.0, 30.0)))),
        ("e.bin", drill(&at)),
    ];
    let set: Vec<(&str, &str)> = files.iter().map(|(p, t)| (*p, t.as_str())).collect();
    let board = own(&set);
    let roles: Vec<Role> = board.files.iter().map(|f| f.role).collect();
    assert_eq!(roles[..4], [Role::Copper, Role::Mask, Role::Paste, Role::Outline]);
    assert!(board.files.iter().take(4).all(|f| f.evidence.len() >= 2 && f.runner_up.is_some()));
}
