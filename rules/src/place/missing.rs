//! What a set should hold and does not.

use landgap_parser::kind::{self, Kind};
use landgap_parser::{Aperture, ApertureShape, Image, Point, Severity, Shape};

use super::guess::is_holes;
use super::lands::Lands;
use super::load::Loaded;
use super::{extensions, names};
use crate::board::{Board, Doubt, Role, Side, Source};

/// Lands on both sides without a hole that make a missing drill file likely.
const FEW_LANDS: usize = 4;

/// Files that should hold data and do not.
pub(super) fn unreadable_files(loaded: &[Loaded<'_>], board: &mut Board) {
    for (i, file) in loaded.iter().enumerate() {
        let reason = file.failure.clone().or_else(|| wrong_content(file)).or_else(|| fatal(&board.files[i].remarks));
        if let Some(reason) = reason {
            let doubt = unreadable(i, &file.file.path, &reason);
            board.doubts.push(doubt);
        }
    }
}

/// The doubt about one file.
pub(super) fn unreadable(file: usize, path: &str, reason: &str) -> Doubt {
    Doubt {
        rule: "unreadable-file",
        seen: format!("{path} could not be read: {}", reason.trim_end_matches('.')),
        reasons: vec![reason.to_owned()],
        sources: vec![Source { file: file as u32, line: 0 }],
        places: Vec::new(),
        readings: vec![format!("{path} is exported and sent again"), format!("{path} is not needed for the board")],
    }
}

fn wrong_content(file: &Loaded<'_>) -> Option<String> {
    let extension = names::parts(&file.file.path).1;
    if !extensions::is_data(&extension) {
        return None;
    }
    match file.kind {
        Kind::Empty => Some("the file is empty; artwork or a drill program was expected by its name".to_owned()),
        Kind::Other | Kind::Drawing => Some(format!(
            "its extension .{extension} stands for artwork or a drill program, but it {}",
            kind::telling(&file.file.bytes)
        )),
        _ => None,
    }
}

fn fatal(remarks: &[landgap_parser::Remark]) -> Option<String> {
    remarks.iter().find(|r| r.code.severity == Severity::Fatal).map(|r| format!("line {}: {r}", r.place.line))
}

/// Drill data that should be there.
pub(super) fn drill(loaded: &[Loaded<'_>], board: &mut Board) {
    let files: Vec<u32> = (0..board.files.len() as u32).filter(|&i| is_holes(board.files[i as usize].role)).collect();
    let bare = bare_lands(board, Lands::of_flashes);
    let through = board.copper.len() >= 2;
    let no_plated = !board.holes.iter().any(|h| h.plating != crate::board::HolePlating::Unplated);
    let ring_like = board.copper.iter().filter_map(|c| board.images[c.file as usize].as_ref()).any(has_ring_lands);
    let ring_like = ring_like
        || board.copper.iter().any(|c| super::comments::read(&loaded[c.file as usize].file.bytes).speaks_of_vias());
    let round = bare_lands(board, Lands::of_round);
    // Single lands without a hole, such as test points on both sides, are ordinary; a fifth of all are not.
    let some = !no_plated
        && round.len() >= FEW_LANDS
        && round.len() * 5 >= board.holes.len() + round.len()
        && holes_land(board);
    let missing = match files.as_slice() {
        [] => through || ring_like,
        _ => through && (some || no_plated && bare.len() >= FEW_LANDS),
    };
    if !missing || board.copper.is_empty() {
        return;
    }
    let seen = match files.as_slice() {
        [] => "the set holds no drill file".to_owned(),
        _ if some => format!("{} round lands stand on both outer layers without a hole in them", round.len()),
        _ => "the set holds no plated holes".to_owned(),
    };
    let mut reasons = vec![format!("{} copper layer(s) are there", board.copper.len())];
    reasons.extend(
        (!bare.is_empty()).then(|| format!("{} lands stand on both outer layers without a hole in them", bare.len())),
    );
    reasons.extend(files.iter().map(|&f| {
        let file = &board.files[f as usize];
        format!("{} holds {}, of which none is plated", file.path, file.role.word().replace('-', " "))
    }));
    let mut sources: Vec<Source> = board.copper.iter().map(|c| Source { file: c.file, line: 0 }).collect();
    sources.extend(files.iter().map(|&file| Source { file, line: 0 }));
    board.doubts.push(Doubt {
        rule: "missing-drill",
        seen,
        reasons,
        sources,
        places: if some { round } else { bare },
        readings: vec!["the drill file is sent".to_owned(), "the board has no plated holes".to_owned()],
    });
}

/// Whether the holes there are land at all: where they do not, it is they that are asked about.
fn holes_land(board: &Board) -> bool {
    let lands = Lands::of(board.copper.iter().filter_map(|c| board.images[c.file as usize].as_ref()));
    let plated = board.holes.iter().filter(|h| h.plating != crate::board::HolePlating::Unplated);
    lands.share(&plated.map(|h| super::register::land_of(&h.shape)).collect::<Vec<_>>()) >= 0.5
}

/// Lands at one place on both outer layers that no hole goes through.
fn bare_lands(board: &Board, of: fn(&Image) -> Lands) -> Vec<Point> {
    let outer: Vec<&Image> = board
        .copper
        .iter()
        .filter(|c| c.side != Side::Inner)
        .filter_map(|c| board.images[c.file as usize].as_ref())
        .collect();
    let [top, bottom] = outer.as_slice() else { return Vec::new() };
    let holes = Lands::of_points(board.holes.iter().map(|h| super::register::land_of(&h.shape)).collect());
    let bottom = of(bottom);
    of(top).points().filter(|p| bottom.has(*p) && !holes.has(*p)).collect()
}

/// Lands that are said to be drilled, or drawn with a hole in them.
fn has_ring_lands(image: &Image) -> bool {
    let flashed = |index: u32| image.apertures.get(index as usize).is_some_and(|a| is_ring(image, a));
    image.objects.iter().any(|o| matches!(o.shape, Shape::Flash { aperture, .. } if flashed(aperture)))
}

fn is_ring(image: &Image, aperture: &Aperture) -> bool {
    let hole = match aperture.shape {
        ApertureShape::Circle { hole, .. } | ApertureShape::Rectangle { hole, .. } => hole,
        ApertureShape::Obround { hole, .. } | ApertureShape::Polygon { hole, .. } => hole,
        _ => landgap_parser::image::Hole::None,
    };
    let set = image.attribute_sets.get(aperture.attributes as usize);
    let function = set.and_then(|s| s.iter().find(|a| a.name == ".AperFunction")).and_then(|a| a.values.first());
    hole != landgap_parser::image::Hole::None || function.is_some_and(|f| f == "ViaPad" || f == "ComponentPad")
}

/// An outer copper layer that should be there: a mask opens over lands on a side without copper.
pub(super) fn copper(board: &mut Board) {
    let sides = [Side::Top, Side::Bottom];
    for side in sides.into_iter().filter(|s| !board.copper.is_empty() && !board.copper.iter().any(|c| c.side == *s)) {
        let mask = board.masks.iter().find(|m| m.side == side).map(|m| m.file);
        let Some((file, image)) = mask.and_then(|f| Some((f, board.images[f as usize].as_ref()?))) else { continue };
        let openings = Lands::of([image]).count();
        if openings < FEW_LANDS {
            continue;
        }
        let path = &board.files[file as usize].path;
        let layers = board.copper.len();
        let doubt = Doubt {
            rule: "missing-layer",
            seen: format!("there is no {} copper, but a mask for that side", side.word()),
            reasons: vec![format!("{path} opens over {openings} lands"), format!("{layers} copper layer(s) are there")],
            sources: vec![Source { file, line: 0 }],
            places: Vec::new(),
            readings: vec![
                format!("the {} copper is sent", side.word()),
                format!("the board has {layers} copper layer(s), and none on the {}", side.word()),
            ],
        };
        board.doubts.push(doubt);
    }
}

/// Non-plated holes that should be there: both masks open round at places where there is neither land nor hole.
pub(super) fn unplated(board: &mut Board) {
    let masks: Vec<&Image> = board.masks.iter().filter_map(|m| board.images[m.file as usize].as_ref()).collect();
    let [top, bottom] = masks.as_slice() else { return };
    let copper = board.copper.iter().filter_map(|c| board.images[c.file as usize].as_ref());
    let lands = Lands::of(copper);
    let holes = Lands::of_points(board.holes.iter().map(|h| super::register::land_of(&h.shape)).collect());
    if lands.count() == 0 || holes.count() == 0 {
        return;
    }
    let bottom = Lands::of_round(bottom);
    // A hole may also be drawn as a cut-out of the outline.
    let cut = board.outline.contours.iter().skip(1).filter_map(super::extent::of_contour).collect::<Vec<_>>();
    let open = |p: &Point| bottom.has(*p) && !holes.has(*p) && !lands.has(*p) && !cut.iter().any(|c| c.holds(*p));
    let places: Vec<Point> = Lands::of_round(top).points().filter(open).collect();
    if places.len() < 2 {
        return;
    }
    board.doubts.push(Doubt {
        rule: "missing-drill",
        seen: format!("both masks open at {} places where there is neither a hole nor a land", places.len()),
        reasons: vec!["masks open so on both sides over non-plated holes (common practice, no source)".to_owned()],
        sources: board.masks.iter().map(|m| Source { file: m.file, line: 0 }).collect(),
        places,
        readings: vec!["the file of the non-plated holes is sent".to_owned(), "no holes are meant there".to_owned()],
    });
}

/// Solder mask that should be there.
pub(super) fn mask(board: &mut Board) {
    let outer: Vec<(Side, usize)> =
        board.copper.iter().filter(|c| c.side != Side::Inner).map(|c| (c.side, c.file as usize)).collect();
    for (side, file) in outer {
        let lands = board.images[file]
            .as_ref()
            .map_or(0, |i| i.objects.iter().filter(|o| matches!(o.shape, Shape::Flash { .. })).count());
        if lands == 0 || board.masks.iter().any(|m| m.side == side) {
            continue;
        }
        let path = board.files[file].path.clone();
        let unread = board.files.iter().any(|f| f.role == Role::Mask && f.side == Some(side));
        board.doubts.push(Doubt {
            rule: "missing-mask",
            seen: format!("there is no {} solder mask", side.word()),
            reasons: vec![
                format!("{path} has {lands} lands to be soldered or tested"),
                if unread {
                    "the file meant for it could not be read".to_owned()
                } else {
                    "no file of the set is a mask of that side".to_owned()
                },
            ],
            sources: vec![Source { file: file as u32, line: 0 }],
            places: Vec::new(),
            readings: vec![
                format!("the {} mask is sent", side.word()),
                format!("the {} side has no solder mask", side.word()),
            ],
        });
    }
}
