//! What the files of a set state of themselves, against one another and against their own bytes.

use std::collections::BTreeMap;

use landgap_parser::FileAttribute;

use super::{Noted, Stated, attribute, codes, date, md5};
use crate::board::Board;
use crate::place::load::Loaded;

pub(super) fn check(loaded: &[Loaded<'_>], stated: &Stated, board: &Board, noted: &mut Noted) {
    differs(stated, board, ".SameCoordinates", &codes::COORDINATES, noted);
    differs(stated, board, ".ProjectId", &codes::PROJECT, noted);
    dates(stated, board, noted);
    for (i, file) in loaded.iter().enumerate() {
        if let Some(sum) = attribute(&stated[i], ".MD5") {
            checksum(i, &file.file.bytes, sum, noted);
        }
    }
}

/// Files that state another value than most.
fn differs(stated: &Stated, board: &Board, name: &str, code: &'static landgap_parser::Code, noted: &mut Noted) {
    let said: Vec<(usize, &FileAttribute)> =
        stated.iter().enumerate().filter_map(|(i, list)| Some((i, attribute(list, name)?))).collect();
    let mut counts: BTreeMap<&[String], (usize, usize)> = BTreeMap::new();
    for (i, attribute) in &said {
        counts.entry(&attribute.values).or_insert((0, *i)).0 += 1;
    }
    // The first file breaks a tie.
    let most = counts.iter().max_by_key(|(_, (count, first))| (*count, std::cmp::Reverse(*first)));
    let Some((usual, (_, first))) = most else { return };
    for (i, attribute) in said.iter().filter(|(_, a)| a.values.as_slice() != *usual) {
        let found = format!("{name} is \"{}\"", attribute.values.join(","));
        let expected = format!("\"{}\" as in {}", usual.join(","), board.files[*first].path);
        noted.add(*i, attribute.line, code, found, expected);
    }
}

fn dates(stated: &Stated, board: &Board, noted: &mut Noted) {
    let dated = |list: &[FileAttribute]| {
        let attribute = attribute(list, ".CreationDate")?;
        Some((date::read(attribute.values.first()?)?, attribute.line, attribute.values.join(",")))
    };
    let said: Vec<(usize, _)> = stated.iter().enumerate().filter_map(|(i, list)| Some((i, dated(list)?))).collect();
    let mut order: Vec<(date::Moment, usize)> = said.iter().map(|(i, (moment, ..))| (*moment, *i)).collect();
    order.sort_unstable();
    let Some(&(middle, usual)) = order.get(order.len().saturating_sub(1) / 2) else { return };
    for (i, (moment, line, text)) in &said {
        if !moment.near(middle) {
            let expected = format!("a date within an hour of that of {}", board.files[usual].path);
            noted.add(*i, *line, &codes::DATE, format!("the date {text}"), expected);
        }
    }
}

/// The sum runs over all bytes before its command, line ends left out.
fn checksum(file: usize, bytes: &[u8], sum: &FileAttribute, noted: &mut Noted) {
    let Some(wanted) = sum.values.first().map(|v| v.trim().to_ascii_lowercase()) else { return };
    let Some(start) = start_of(bytes, sum) else { return };
    let before: Vec<u8> = bytes[..start].iter().copied().filter(|b| !matches!(b, b'\r' | b'\n')).collect();
    let found = md5::digest(&before);
    if found != wanted {
        let text = format!("the checksum {wanted} is stated, and the bytes before it give {found}");
        noted.add(file, sum.line, &codes::CHECKSUM, text, "");
    }
}

/// Where the command or comment that carries the sum begins.
fn start_of(bytes: &[u8], sum: &FileAttribute) -> Option<usize> {
    let name = find_last(bytes, b"TF.MD5")?;
    let opener: &[u8] = if sum.in_comment { b"G04" } else { b"%" };
    find_last(&bytes[..name], opener)
}

fn find_last(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes.windows(wanted.len()).rposition(|w| w == wanted)
}
