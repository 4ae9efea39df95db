//! The outline of one board beside that of an array of it: no rivals.

use landgap_parser::{Contour, Nm};

use super::contour;
use super::extent::{self, Extent};
use super::outline::{Candidate, same_area, size};
use crate::board::{Board, Doubt, Source};

/// How many boards like the outermost contour of `unit` the other file holds; `None` where it is no array of it.
pub(super) fn array_of(unit: &Candidate, array: &Candidate) -> Option<usize> {
    const ALIKE: Nm = 200_000;
    let board = unit.joined.contours.first()?;
    let own = extent::of_contour(board)?;
    let like = |c: &&Contour| {
        let near = |a: Nm, b: Nm| (a - b).abs() <= ALIKE;
        same_area(board, c)
            && extent::of_contour(c).is_some_and(|e| near(e.width(), own.width()) && near(e.height(), own.height()))
    };
    let count = array.joined.contours.iter().filter(like).count();
    (count >= 2 && unit.joined.contours.iter().filter(like).count() == 1).then_some(count)
}

/// Of the outline of one board and that of an array of it, the one the copper fills governs; the other is told.
pub(super) fn or_array(board: &mut Board, a: Candidate, b: Candidate, copper: Option<Extent>) -> Candidate {
    let (unit, array) = if array_of(&a, &b).is_some() { (a, b) } else { (b, a) };
    let count = array_of(&unit, &array).unwrap_or(0);
    let around = unit.box_.map(|e| e.grown(contour::BRIDGE));
    let single = copper.zip(around).is_none_or(|(c, around)| around.holds(c.low) && around.holds(c.high));
    let (one, many) = (&board.files[unit.file].path, &board.files[array.file].path);
    board.doubts.push(Doubt {
        rule: "array-or-single",
        seen: format!(
            "{one} gives the outline of one board, {}, and {many} that of an array of {count}, {}",
            size(unit.box_),
            size(array.box_)
        ),
        reasons: vec![format!("the copper fills {}", if single { "the one board" } else { "the array" })],
        sources: [&unit, &array].map(|c| Source { file: c.file as u32, line: 0 }).to_vec(),
        places: Vec::new(),
        readings: Vec::new(),
    });
    if single { unit } else { array }
}
