//! What a netlist says of holes against the drill data: remarks, not choices.

use landgap_parser::{Code, Nm, Place, Remark};

use super::codes::{HOLE_ABSENT, HOLE_PLATING, HOLE_SIZE};
use super::snap::Holes;
use super::stated::{Points, Stated};
use crate::board::{Board, Hole, HolePlating};
use crate::query::words;

/// Sizes are written in steps of 0.0001 in or 0.001 mm, and rounded.
const SAME_SIZE: Nm = 2_540;

/// The remarks on a netlist that was laid over the board, each code once with the rest counted.
pub(super) fn remarks(points: &Points, board: &Board) -> Vec<Remark> {
    let holes = Holes::of(&board.holes);
    let mut out: Vec<Remark> = Vec::new();
    if board.holes.is_empty() {
        return out;
    }
    for point in points.list.iter().filter(|p| p.hole.is_some()) {
        let found = match holes.around(point.at, board) {
            Some(hole) => of_hole(point, &board.holes[hole as usize]),
            None => vec![(
                &HOLE_ABSENT,
                format!("a hole at {}", words::point(point.at)),
                "no hole in the drill data".to_owned(),
            )],
        };
        for (code, found, expected) in found {
            match out.iter_mut().find(|r| std::ptr::eq(r.code, code)) {
                Some(earlier) => earlier.more += 1,
                None => {
                    let place = Place { line: point.source.line.max(1), column: 1, offset: 0 };
                    out.push(Remark { code, place, found, expected, more: 0, two_readings: Vec::new() });
                }
            }
        }
    }
    out
}

fn of_hole(point: &Stated, hole: &Hole) -> Vec<(&'static Code, String, String)> {
    let Some(stated) = point.hole else { return Vec::new() };
    let mut out = Vec::new();
    if let Some((size, finished)) = stated.diameter.zip(hole.finished).filter(|(a, b)| (a - b).abs() > SAME_SIZE) {
        let drill = format!("{}, as the drill data have it", words::millimetres(finished));
        out.push((&HOLE_SIZE, format!("a hole of {} at {}", words::millimetres(size), words::point(point.at)), drill));
    }
    let word = |plated: bool| if plated { "plated" } else { "unplated" };
    let drilled = match hole.plating {
        HolePlating::Plated => Some(true),
        HolePlating::Unplated => Some(false),
        HolePlating::Unclear => None,
    };
    if let Some((said, drilled)) = stated.plated.zip(drilled).filter(|(a, b)| a != b) {
        let found = format!("the hole at {} is {}", words::point(point.at), word(said));
        out.push((&HOLE_PLATING, found, format!("{}, as the drill data have it", word(drilled))));
    }
    out
}
