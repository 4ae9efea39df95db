//! What speaks for and against the order of the copper layers.
//!
//! The order comes from attributes, job file and names. Four witnesses are heard beside it: the other
//! statements about the same files, numerals drawn in the copper, the layers a netlist gives its
//! conductors, and the lands of holes that end inside the board. A witness that agrees is evidence,
//! one that speaks where nothing else did settles the order, one that contradicts is asked about.

mod conductors;
mod numerals;
mod spans;
mod stated;

pub(super) use stated::Statement;

use super::layers::list;
use crate::board::{Board, Doubt, Side, Source};

/// What one witness says of the places of copper files.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Testimony {
    /// Who speaks, such as "the numerals drawn in the copper".
    witness: String,
    /// File, its place from the top, and what that rests on.
    places: Vec<(u32, u32, String)>,
}

impl Testimony {
    fn place_of(&self, file: u32) -> Option<u32> {
        self.places.iter().find(|p| p.0 == file).map(|p| p.1)
    }

    /// Whether it gives every copper file of the board another place.
    fn orders_all(&self, board: &Board) -> bool {
        let mut numbers: Vec<u32> = board.copper.iter().filter_map(|c| self.place_of(c.file)).collect();
        numbers.sort_unstable();
        numbers.len() == board.copper.len() && numbers.into_iter().eq(1..=board.copper.len() as u32)
    }
}

/// Hears every witness about a board whose layers and holes are placed.
pub(super) fn check(board: &mut Board, statements: &[Vec<Statement>]) {
    if board.copper.len() < 2 {
        return;
    }
    let guessed = board.doubts.iter().position(|d| d.rule == "unclear-layer-order");
    let drawn = [numerals::hear(board), conductors::hear(board)];
    let settles = drawn.iter().flatten().find(|t| guessed.is_some() && t.orders_all(board));
    if let (Some(at), Some(testimony)) = (guessed, settles) {
        board.doubts.remove(at);
        settle(board, testimony);
    }
    let spoken = drawn.into_iter().flatten().chain(spans::hear(board)).chain(stated::hear(board, statements));
    let heard: Vec<Testimony> = spoken.collect();
    for testimony in heard {
        weigh(board, &testimony);
    }
}

/// The order nothing else gave.
fn settle(board: &mut Board, testimony: &Testimony) {
    let last = board.copper.len() as u32;
    let mut order: Vec<(u32, u32)> =
        board.copper.iter().filter_map(|c| Some((testimony.place_of(c.file)?, c.file))).collect();
    order.sort_unstable();
    for (layer, (number, file)) in board.copper.iter_mut().zip(order) {
        layer.file = file;
        layer.side = side_of(number, last);
        board.files[file as usize].layer = Some(number);
        board.files[file as usize].side = Some(layer.side);
    }
    board.assumptions.push(format!("the order of the copper layers is taken from {}", testimony.witness));
}

const fn side_of(number: u32, last: u32) -> Side {
    match number {
        1 => Side::Top,
        n if n == last => Side::Bottom,
        _ => Side::Inner,
    }
}

fn weigh(board: &mut Board, testimony: &Testimony) {
    let said = testimony.places.iter().filter(|(file, number, _)| board.files[*file as usize].layer != Some(*number));
    let against: Vec<&(u32, u32, String)> = said.collect();
    if against.is_empty() {
        for (file, _, why) in &testimony.places {
            board.files[*file as usize].evidence.push(why.clone());
        }
        return;
    }
    let doubt = doubt(board, testimony, &against);
    board.doubts.push(doubt);
}

fn doubt(board: &Board, testimony: &Testimony, against: &[&(u32, u32, String)]) -> Doubt {
    let path = |file: u32| board.files[file as usize].path.as_str();
    let taken = |file: u32| board.files[file as usize].layer.unwrap_or(0);
    let mut reasons: Vec<String> = against.iter().map(|(_, _, why)| why.clone()).collect();
    reasons.extend(against.iter().map(|(file, ..)| {
        let evidence = board.files[*file as usize].evidence.first().map_or("", String::as_str);
        format!("{} is taken as copper {}: {evidence}", path(*file), taken(*file))
    }));
    let words = |places: &[(u32, u32)]| {
        places.iter().map(|(n, file)| format!("{n} {}", path(*file))).collect::<Vec<_>>().join(", ")
    };
    let as_taken: Vec<(u32, u32)> = board.copper.iter().map(|c| (taken(c.file), c.file)).collect();
    let as_said = said_order(&as_taken, testimony);
    Doubt {
        rule: "unclear-layer-order",
        seen: format!(
            "{} put {} at copper {}, where copper {} is taken",
            testimony.witness,
            against.iter().map(|(file, ..)| path(*file)).collect::<Vec<_>>().join(", "),
            list(against.iter().map(|a| a.1)),
            list(against.iter().map(|a| taken(a.0))),
        ),
        reasons,
        sources: against.iter().map(|(file, ..)| Source { file: *file, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![words(&as_taken), words(&as_said)],
    }
}

/// The order a witness gives; files it does not speak of keep their places, or take those that fall free.
fn said_order(taken: &[(u32, u32)], testimony: &Testimony) -> Vec<(u32, u32)> {
    let mut order: Vec<(u32, u32)> =
        taken.iter().filter_map(|(_, file)| Some((testimony.place_of(*file)?, *file))).collect();
    let silent: Vec<(u32, u32)> = taken.iter().copied().filter(|t| testimony.place_of(t.1).is_none()).collect();
    let claimed = |order: &[(u32, u32)], place: u32| order.iter().any(|o| o.0 == place);
    let (keep, moved): (Vec<_>, Vec<_>) = silent.into_iter().partition(|t| !claimed(&order, t.0));
    order.extend(keep);
    let mut free: Vec<u32> = taken.iter().map(|t| t.0).filter(|n| !claimed(&order, *n)).collect();
    free.reverse();
    order.extend(moved.into_iter().map(|(place, file)| (free.pop().unwrap_or(place), file)));
    order.sort_unstable();
    order
}
