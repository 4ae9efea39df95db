//! Plating and kind of every hole by copper alone against those with attributes and names.

use landgap_parser::Limits;
use landgap_rules::board::Board;
use landgap_rules::check::{InputFile, Told, measure};

use crate::change::nameless;
use crate::common::{read_set, shared};

/// Sets with attributes whose measuring takes seconds, not minutes.
const SETS: [&str; 8] =
    ["board-012", "board-020", "board-022", "board-026", "board-050", "board-051", "board-058", "board-086"];

fn board(files: &[InputFile]) -> Board {
    measure(files, &Told::new(), &Limits::default(), &|_| {}).board
}

/// Every hole with its place, size, plating and kind, in order of place.
fn holes(board: &Board) -> Vec<String> {
    let mut out: Vec<String> =
        board.holes.iter().map(|h| format!("{:?} {:?} {:?} {:?}", h.shape, h.finished, h.plating, h.kind)).collect();
    out.sort();
    out
}

/// How many of the first list stand in the second, each counted once.
fn shared_lines(a: &[String], b: &[String]) -> usize {
    let (mut i, mut j, mut same) = (0, 0, 0);
    while i < a.len() && j < b.len() {
        match a[i].cmp(&b[j]) {
            std::cmp::Ordering::Less => i += 1,
            std::cmp::Ordering::Greater => j += 1,
            std::cmp::Ordering::Equal => (i, j, same) = (i + 1, j + 1, same + 1),
        }
    }
    same
}

#[test]
fn holes_are_the_same_without_attributes_and_names() {
    let Some(boards) = shared("boards") else { return };
    let (mut same, mut all) = (0, 0);
    for set in SETS {
        let files = read_set(&boards.join(set));
        let with = holes(&board(&files));
        let renamed: Vec<InputFile> = nameless(&files, false).into_iter().map(|n| n.1).collect();
        let without = holes(&board(&renamed));
        let agree = shared_lines(&with, &without);
        println!("{set}: {agree} of {} holes with the same place, size, plating and kind", with.len());
        if agree < with.len() {
            with.iter().filter(|h| !without.contains(h)).take(4).for_each(|h| println!("    with    {h}"));
            without.iter().filter(|h| !with.contains(h)).take(4).for_each(|h| println!("    without {h}"));
        }
        same += agree;
        all += with.len();
    }
    println!("together: {same} of {all}");
    assert!(same * 100 >= all * 98, "{same} of {all} holes");
}
