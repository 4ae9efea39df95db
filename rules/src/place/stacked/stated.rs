//! Statements about the same file that give it different places: attribute, job file, comment, name.

use super::Testimony;
use crate::board::{Board, KnownBy};
use crate::place::guess::Number;

/// What one statement says of the place of a copper file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::place) struct Statement {
    pub by: KnownBy,
    pub number: Number,
    pub evidence: String,
}

/// Statements that contradict the order taken. Numerals of inner layers may count from the top or from
/// the first inner layer, so only their order among each other is held against the order taken.
pub(super) fn hear(board: &Board, statements: &[Vec<Statement>]) -> Vec<Testimony> {
    let kinds = [(KnownBy::Attribute, "the attributes of the files"), (KnownBy::Job, "the entries of the job file")];
    let others = [(KnownBy::Content, "the comments in the files"), (KnownBy::Name, "the names of the files")];
    kinds.into_iter().chain(others).filter_map(|(by, witness)| of_kind(board, statements, by, witness)).collect()
}

fn of_kind(board: &Board, statements: &[Vec<Statement>], by: KnownBy, witness: &str) -> Option<Testimony> {
    let mut testimony = Testimony { witness: witness.to_owned(), places: Vec::new() };
    for counts in [from_top as fn(&Number) -> Option<u32>, from_inner] {
        let mut said: Vec<(u32, u32, u32, &str)> = Vec::new();
        for layer in &board.copper {
            let own = statements[layer.file as usize].iter().filter(|s| s.by == by);
            let number = own.filter_map(|s| Some((counts(&s.number)?, s.evidence.as_str()))).next();
            said.extend(number.map(|(n, why)| (n, layer.number, layer.file, why)));
        }
        testimony.places.extend(crossed(board, said));
    }
    (!testimony.places.is_empty()).then_some(testimony)
}

const fn from_top(number: &Number) -> Option<u32> {
    if let Number::FromTop(n) = number { Some(*n) } else { None }
}

const fn from_inner(number: &Number) -> Option<u32> {
    if let Number::Inner(n) = number { Some(*n) } else { None }
}

/// Files whose numerals run otherwise than the order taken, with the place the numerals give them.
fn crossed(board: &Board, mut said: Vec<(u32, u32, u32, &str)>) -> Vec<(u32, u32, String)> {
    said.sort_unstable();
    let distinct = said.windows(2).all(|w| w[0].0 != w[1].0);
    let mut taken: Vec<u32> = said.iter().map(|s| s.1).collect();
    taken.sort_unstable();
    let moved = said.iter().zip(taken).filter(|(s, place)| s.1 != *place && distinct);
    let why = |file: u32, text: &str| format!("{}: {text}", board.files[file as usize].path);
    let file_layer = |place: u32| {
        let at = board.copper.iter().find(|c| c.number == place);
        at.and_then(|c| board.files[c.file as usize].layer).unwrap_or(place)
    };
    moved.map(|(s, place)| (s.2, file_layer(place), why(s.2, s.3))).collect()
}
