//! File function and file polarity against the layers that are there.

use landgap_parser::drill::Plating;
use landgap_parser::{FileAttribute, Image, Polarity, Shape};

use super::{Noted, Stated, attribute, codes};
use crate::board::{Board, Role};
use crate::place::guess::is_holes;
use crate::place::load::Loaded;
use crate::place::names;

pub(super) fn check(loaded: &[Loaded<'_>], stated: &Stated, board: &Board, noted: &mut Noted) {
    for (i, list) in stated.iter().enumerate() {
        let role = board.files[i].role;
        if let Some(function) = attribute(list, ".FileFunction") {
            match role {
                Role::Copper => copper(i, function, board, noted),
                role if is_holes(role) => span(i, function, board, noted),
                _ => {}
            }
        }
        if let Some(polarity) = attribute(list, ".FilePolarity") {
            polarities(i, polarity, board, noted);
        }
    }
    platings(loaded, stated, board, noted);
}

/// `Copper,L<p>,(Top|Inr|Bot)`: the top is 1, and the bottom is the last.
fn copper(file: usize, function: &FileAttribute, board: &Board, noted: &mut Noted) {
    let fields = &function.values;
    let number = fields.get(1).and_then(|f| f.trim().strip_prefix(['L', 'l'])?.parse::<u32>().ok());
    let (Some(number), Some(side)) = (number, fields.get(2)) else { return };
    let found = format!("the file function \"{}\"", fields.join(","));
    let total = board.copper.len() as u32;
    let (is, top, inner) = (|s: &str| side.trim().eq_ignore_ascii_case(s), number == 1, number > 1);
    if (is("Top") && !top) || ((is("Inr") || is("Bot")) && !inner) {
        noted.add(file, function.line, &codes::LAYER_FIELDS, found, "Top for L1 only, Inr and Bot for what lies below");
    } else if number > total || (is("Bot") && number != total) || (is("Inr") && number == total) {
        let expected = format!("a number that fits the {total} copper file(s) of the set");
        noted.add(file, function.line, &codes::LAYER_TOTAL, found, expected);
    }
}

/// `Plated,i,j,…`: holes that go through join the first and the last layer.
fn span(file: usize, function: &FileAttribute, board: &Board, noted: &mut Noted) {
    let number = |i: usize| function.values.get(i).and_then(|f| f.trim().parse::<u32>().ok());
    let (Some(from), Some(to)) = (number(1), number(2)) else { return };
    let total = board.copper.len() as u32;
    let kind = function.values.get(3).map_or("", |k| k.trim());
    let through = ["PTH", "NPTH"].iter().any(|k| kind.eq_ignore_ascii_case(k));
    let whole = (from.min(to), from.max(to)) == (1, total);
    if total > 0 && (from.max(to) > total || from.min(to) == 0 || (through && !whole)) {
        let found = format!("the file function \"{}\"", function.values.join(","));
        let expected = format!("layers of the set, which has {total} copper file(s)");
        noted.add(file, function.line, &codes::SPAN, found, expected);
    }
}

fn polarities(file: usize, polarity: &FileAttribute, board: &Board, noted: &mut Noted) {
    let negative = polarity.values.first().is_some_and(|v| v.trim().eq_ignore_ascii_case("Negative"));
    let positive = polarity.values.first().is_some_and(|v| v.trim().eq_ignore_ascii_case("Positive"));
    let role = board.files[file].role;
    let image = board.images[file].as_ref();
    let code = match role {
        role if negative && is_holes(role) => &codes::NEGATIVE_HOLES,
        Role::Copper if negative && image.is_some_and(draws_tracks) => &codes::NEGATIVE_COPPER,
        Role::Mask if positive && image.is_some_and(|mask| opens_lands(mask, file, board)) => &codes::POSITIVE_MASK,
        _ => return,
    };
    noted.add(file, polarity.line, code, format!("the file polarity {}", polarity.values.join(",")), "");
}

/// Whether most strokes that end in flashes say that a file draws lands and tracks, not clearances.
fn draws_tracks(image: &Image) -> bool {
    let dark = || image.objects.iter().filter(|o| o.polarity == Polarity::Dark);
    let lands = flashes(image);
    let ends = dark().filter_map(|o| match o.shape {
        Shape::Draw { from, to, .. } => Some([from, to]),
        _ => None,
    });
    let meeting = ends.flatten().filter(|p| lands.binary_search(p).is_ok()).count();
    lands.len() >= 4 && meeting * 2 >= lands.len()
}

/// Whether the flashes of a mask stand on lands of an outer copper layer of its side.
fn opens_lands(mask: &Image, file: usize, board: &Board) -> bool {
    let side = board.files[file].side;
    let copper = board.copper.iter().find(|l| Some(l.side) == side);
    let Some(copper) = copper.and_then(|l| board.images[l.file as usize].as_ref()) else { return false };
    let (lands, openings) = (flashes(copper), flashes(mask));
    let on = openings.iter().filter(|p| lands.binary_search(p).is_ok()).count();
    openings.len() >= 4 && on * 10 >= openings.len() * 8
}

/// Where dark flashes stand, in order.
fn flashes(image: &Image) -> Vec<landgap_parser::Point> {
    let at = |o: &landgap_parser::Object| match o.shape {
        Shape::Flash { at, .. } if o.polarity == Polarity::Dark => Some(at),
        _ => None,
    };
    let mut points: Vec<_> = image.objects.iter().filter_map(at).collect();
    points.sort_unstable();
    points.dedup();
    points
}

/// A plated drill file whose name or tools say non-plated, and the other way round.
fn platings(loaded: &[Loaded<'_>], stated: &Stated, board: &Board, noted: &mut Noted) {
    let skip = names::common_start(&board.files.iter().map(|f| f.path.as_str()).collect::<Vec<_>>());
    for (i, file) in loaded.iter().enumerate() {
        let Some(function) = attribute(&stated[i], ".FileFunction") else { continue };
        let (stated, opposite) = match function.values.first().map(|v| v.to_ascii_lowercase()).as_deref() {
            Some("plated") => (Plating::Plated, Role::UnplatedHoles),
            Some("nonplated") => (Plating::NonPlated, Role::PlatedHoles),
            _ => continue,
        };
        let found = format!("the file function \"{}\"", function.values.join(","));
        let named = names::of(&file.file.path, skip).0.is_some_and(|g| g.role == opposite && g.confidence >= 70);
        if named {
            let expected = "what the file's name says of plating";
            noted.add(i, function.line, &codes::NAME_PLATING, found.clone(), expected);
        }
        let tools = file.program.iter().flat_map(|p| &p.tools);
        for tool in tools.filter(|t| t.plating.is_some_and(|p| p != stated)) {
            let found = format!("tool {} is stated against {found}", tool.number);
            noted.add(i, tool.place.line, &codes::TOOL_PLATING, found, "the same plating for file and tool");
        }
    }
}
