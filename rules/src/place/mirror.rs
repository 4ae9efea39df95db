//! Layers that are mirrored, turned or shifted against the holes, and masks against their copper.

use landgap_parser::{Nm, Point};

use super::extent::{Extent, mm};
use super::lands::{Lands, best_shift, sample};
use crate::board::{Board, Doubt, HolePlating, Role, Side, Source};
use landgap_parser::drill::HitShape;

/// Fewest points on either side that say anything.
const FEW: usize = 6;
/// Landing of another orientation that counts as a fit.
const FITS: f64 = 0.9;
/// How much better another orientation must be (trade A6).
const MARGIN: f64 = 0.05;
const SAMPLE: usize = 3000;

/// The eight orientations of a layer.
const ORIENTATIONS: [(&str, [i64; 4]); 8] = [
    ("as it is", [1, 0, 0, 1]),
    ("mirrored in x", [-1, 0, 0, 1]),
    ("mirrored in y", [1, 0, 0, -1]),
    ("turned by 180°", [-1, 0, 0, -1]),
    ("turned by 90°", [0, -1, 1, 0]),
    ("turned by 270°", [0, 1, -1, 0]),
    ("mirrored in x and turned by 90°", [0, 1, 1, 0]),
    ("mirrored in x and turned by 270°", [0, -1, -1, 0]),
];

/// How a set of points lands as it is, and in the orientation that fits better, if one does.
struct Landing {
    identity: f64,
    better: Option<(&'static str, f64)>,
    count: usize,
}

/// Looks for mirrored copper and masks, and for holes shifted as a whole.
pub(super) fn check(board: &mut Board, box_: Option<Extent>) {
    let Some(box_) = box_ else { return };
    let holes = plated_axes(board);
    let outer = outer_copper(board);
    let landings: Vec<(usize, Landing)> =
        outer.iter().filter_map(|&(file, ..)| Some((file, landing(&holes, &lands(board, file)?, box_)?))).collect();
    let mirrored: Vec<&(usize, Landing)> = landings.iter().filter(|l| l.1.better.is_some()).collect();
    // All copper agreeing with itself against the holes speaks for the holes being the odd ones.
    let all = mirrored.len() == landings.len() && landings.len() > 1;
    let mut doubts = Vec::new();
    if all {
        doubts.extend(holes_doubt(board, &landings));
    } else {
        doubts.extend(mirrored.iter().map(|l| layer_doubt(board, l.0, &l.1, "holes")));
    }
    let odd: Vec<usize> = mirrored.iter().map(|l| l.0).collect();
    for (file, side) in outer.into_iter().filter(|(file, _)| all || !odd.contains(file)) {
        doubts.extend(mask_doubts(board, file, side, box_));
    }
    if mirrored.is_empty() {
        doubts.extend(shift_doubt(board, &holes, &landings));
    }
    board.doubts.extend(doubts);
}

/// Axes of the holes expected to have lands.
pub(super) fn plated_axes(board: &Board) -> Vec<Point> {
    let round = |h: &&crate::board::Hole| h.plating != HolePlating::Unplated;
    let axis = |h: &crate::board::Hole| if let HitShape::Hole { at } = h.shape { Some(at) } else { None };
    sample(&board.holes.iter().filter(round).filter_map(axis).collect::<Vec<_>>(), SAMPLE)
}

fn outer_copper(board: &Board) -> Vec<(usize, Side)> {
    let outer = board.copper.iter().filter(|c| c.side != Side::Inner);
    outer.map(|c| (c.file as usize, c.side)).collect()
}

fn lands(board: &Board, file: usize) -> Option<Lands> {
    Some(Lands::of([board.images[file].as_ref()?]))
}

fn landing(points: &[Point], lands: &Lands, box_: Extent) -> Option<Landing> {
    if points.len() < FEW || lands.count() < FEW {
        return None;
    }
    let identity = lands.share(points);
    let mut better: Option<(&'static str, f64)> = None;
    if identity < FITS + MARGIN {
        for (name, matrix) in &ORIENTATIONS[1..] {
            let turned: Vec<Point> = points.iter().map(|p| turn(*p, box_.centre(), matrix)).collect();
            let share = share_with_shift(&turned, lands);
            if share >= FITS && share >= identity + MARGIN && better.is_none_or(|b| share > b.1) {
                better = Some((name, share));
            }
        }
    }
    Some(Landing { identity, better, count: points.len() })
}

/// The axis of a mirroring is not known, so a constant shift is allowed for.
fn share_with_shift(points: &[Point], lands: &Lands) -> f64 {
    let straight = lands.share(points);
    let Some(shift) = best_shift(points, lands).filter(|_| straight < FITS) else { return straight };
    let moved: Vec<Point> = points.iter().map(|p| Point::new(p.x + shift.x, p.y + shift.y)).collect();
    lands.share(&moved).max(straight)
}

fn turn(p: Point, centre: Point, m: &[i64; 4]) -> Point {
    let (x, y) = (p.x - centre.x, p.y - centre.y);
    Point::new(centre.x + m[0] * x + m[1] * y, centre.y + m[2] * x + m[3] * y)
}

fn layer_doubt(board: &Board, file: usize, landing: &Landing, against: &str) -> Doubt {
    let path = &board.files[file].path;
    let (name, share) = landing.better.unwrap_or(("as it is", landing.identity));
    Doubt {
        rule: "mirrored-layer",
        seen: format!("{path} fits the rest of the board only when {name}"),
        reasons: vec![
            format!("as it is, {:.0} % of {} {against} land on its lands", landing.identity * 100.0, landing.count),
            format!("{name}, {:.0} % do", share * 100.0),
        ],
        sources: vec![Source { file: file as u32, line: 0 }],
        places: Vec::new(),
        readings: vec![
            format!("{path} is to be {name}"),
            format!("{path} is right as it is"),
            format!("{path} is sent again"),
        ],
    }
}

fn holes_doubt(board: &Board, landings: &[(usize, Landing)]) -> Option<Doubt> {
    let (_, landing) = landings.first()?;
    let (name, share) = landing.better?;
    let files = hole_files(board);
    let paths: Vec<&str> = files.iter().map(|&f| board.files[f].path.as_str()).collect();
    let paths = paths.join(", ");
    Some(Doubt {
        rule: "mirrored-layer",
        seen: format!("the holes of {paths} fit the outer copper only when {name}"),
        reasons: vec![
            format!("as they are, {:.0} % of {} holes land", landing.identity * 100.0, landing.count),
            format!("{name}, {:.0} % land", share * 100.0),
            "both outer layers say the same".to_owned(),
        ],
        sources: files.iter().map(|&f| Source { file: f as u32, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![format!("the holes are to be {name}"), "the drill file is sent again".to_owned()],
    })
}

fn hole_files(board: &Board) -> Vec<usize> {
    let mut files: Vec<usize> = board.holes.iter().map(|h| h.source.file as usize).collect();
    files.sort_unstable();
    files.dedup();
    files
}

fn mask_doubts(board: &Board, copper: usize, side: Side, box_: Extent) -> Vec<Doubt> {
    let Some(lands) = lands(board, copper) else { return Vec::new() };
    let masks = board.masks.iter().filter(|m| m.side == side);
    masks.filter_map(|mask| mask_doubt(board, mask.file as usize, &lands, box_)).collect()
}

fn mask_doubt(board: &Board, mask: usize, lands: &Lands, box_: Extent) -> Option<Doubt> {
    let image = board.images[mask].as_ref()?;
    let openings: Vec<Point> = Lands::of_flashes(image).points().collect();
    let landing = landing(&sample(&openings, SAMPLE), lands, box_)?;
    landing.better?;
    Some(layer_doubt(board, mask, &landing, "openings"))
}

/// Holes that miss the lands of all outer copper by one and the same distance.
fn shift_doubt(board: &Board, holes: &[Point], landings: &[(usize, Landing)]) -> Option<Doubt> {
    let best = landings.iter().map(|l| l.1.identity).fold(0.0, f64::max);
    if landings.is_empty() || best >= 0.5 || holes.len() < FEW {
        return None;
    }
    let images = landings.iter().filter_map(|l| board.images[l.0].as_ref());
    let all = Lands::of(images);
    let shift = best_shift(holes, &all)?;
    let moved: Vec<Point> = holes.iter().map(|p| Point::new(p.x + shift.x, p.y + shift.y)).collect();
    let share = all.share(&moved);
    if share < 0.95 || share < all.share(holes) + 0.2 {
        return None;
    }
    let by = format!("{} mm in x and {} mm in y", mm(shift.x), mm(shift.y));
    Some(Doubt {
        rule: "shifted-holes",
        seen: format!("the holes fit the outer copper only when moved by {by}"),
        reasons: vec![
            format!("as they are, {:.0} % of {} holes land", all.share(holes) * 100.0, holes.len()),
            format!("moved by {by}, {:.0} % land", share * 100.0),
        ],
        sources: hole_files(board).iter().map(|&f| Source { file: f as u32, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![format!("the holes are moved by {by}"), "the drill file is sent again".to_owned()],
    })
}

/// The box the orientations are tried about: the outline's, else the copper's.
pub(super) fn box_of(board: &Board) -> Option<Extent> {
    let outline = super::extent::of_points(board.outline.contours.iter().flat_map(crate::geometry::flatten::contour));
    outline.or_else(|| copper_box(board))
}

/// The box of the outer copper.
pub(super) fn copper_box(board: &Board) -> Option<Extent> {
    let images = board.copper.iter().filter_map(|c| board.images[c.file as usize].as_ref());
    super::extent::of_points(images.filter_map(super::extent::of_image).flat_map(|e| [e.low, e.high]))
}

/// The box that plated lands spread over, for judging outlines: flashes lie inside the board.
pub(super) fn lands_box(board: &Board) -> Option<Extent> {
    let images =
        board.files.iter().zip(&board.images).filter(|(f, _)| f.role == Role::Copper).filter_map(|(_, i)| i.as_ref());
    let lands = Lands::of(images);
    let limit: Nm = landgap_parser::length::COORDINATE_MAX;
    super::extent::of_points(lands.points().filter(|p| p.x.abs() <= limit && p.y.abs() <= limit))
}
