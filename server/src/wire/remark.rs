//! Remarks as they are reported: what was noticed, where, the line it stands on, and what hangs on it.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::Severity;

use super::board::point;
use super::report::{Excerpt, Remark, TwoReadings};
use super::um::Um;
use crate::intake::name::unprintable;

/// Longest piece of a line that is shown, in bytes of the file and in characters.
const LONGEST: usize = 160;

/// So many places of two readings are told of each remark: those that differ most.
const READINGS: usize = 5;

/// The remarks on a file, each with the line it speaks of.
#[must_use]
pub fn remarks(bytes: &[u8], remarks: &[landgap_parser::Remark]) -> Vec<Remark> {
    let lines = lines(bytes, remarks.iter().map(|r| r.place.line).collect());
    let excerpt = |r: &landgap_parser::Remark| lines.get(&r.place.line).and_then(|l| excerpt(l, r.place.column));
    remarks.iter().map(|r| remark(r, excerpt(r))).collect()
}

fn remark(remark: &landgap_parser::Remark, excerpt: Option<Excerpt>) -> Remark {
    Remark {
        code: remark.code.id.to_owned(),
        severity: severity(remark.code.severity).to_owned(),
        line: remark.place.line,
        column: remark.place.column,
        text: remark.to_string(),
        found: remark.found.clone(),
        expected: remark.expected.clone(),
        action: remark.code.action.to_owned(),
        more: remark.more,
        excerpt,
        two_readings: readings(&remark.two_readings),
    }
}

/// The word of the report; a file that gave no image at all has an error like others.
#[must_use]
pub const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Fatal => Severity::Error.word(),
        other => other.word(),
    }
}

/// Those that differ most, in order of line.
fn readings(all: &[landgap_parser::TwoReadings]) -> Vec<TwoReadings> {
    let mut kept: Vec<_> = all.iter().collect();
    kept.sort_by_key(|r| Reverse(r.differ_nm2));
    kept.truncate(READINGS);
    kept.sort_by_key(|r| (r.line, r.at));
    let row = |r: &landgap_parser::TwoReadings| TwoReadings {
        line: r.line,
        at_um: point(r.at),
        differ_mm2: mm2(r.differ_nm2),
        thick_um: Um(r.thick),
        areas_mm2: r.areas_nm2.map(|(as_read, otherwise)| [mm2(as_read), mm2(otherwise)]),
    };
    kept.into_iter().map(row).collect()
}

/// Square millimetres with six decimals, which are square micrometres.
fn mm2(nm2: u64) -> f64 {
    (nm2 as f64 / 1e6).round() / 1e6
}

/// The wanted lines by number, from one pass; lines end at CR, LF or CR LF.
fn lines(bytes: &[u8], mut wanted: BTreeSet<u32>) -> BTreeMap<u32, &[u8]> {
    let mut found = BTreeMap::new();
    wanted.remove(&0);
    let (mut number, mut start) = (1, 0);
    while let Some(last) = wanted.last().filter(|_| start < bytes.len()) {
        let length = bytes[start..].iter().position(|b| matches!(b, b'\r' | b'\n'));
        let end = length.map_or(bytes.len(), |l| start + l);
        if number > *last {
            break;
        }
        if wanted.contains(&number) {
            found.insert(number, &bytes[start..end]);
        }
        start = if bytes[end..].starts_with(b"\r\n") { end + 2 } else { end + 1 };
        number += 1;
    }
    found
}

/// What a line says round a column; nothing where the line is blank.
fn excerpt(line: &[u8], column: u32) -> Option<Excerpt> {
    if line.trim_ascii().is_empty() {
        return None;
    }
    let at = (column.saturating_sub(1) as usize).min(line.len());
    let start = if line.len() > LONGEST { at.saturating_sub(LONGEST / 2).min(line.len() - LONGEST) } else { 0 };
    let end = line.len().min(start + LONGEST);
    let before = shown(&line[start..at], start > 0, false);
    let behind = shown(&line[at..end], false, end < line.len());
    Some(Excerpt { caret: before.chars().count() as u32, text: before + &behind })
}

/// Text fit for a terminal, one character a place; an ellipsis stands where the line goes on.
fn shown(bytes: &[u8], is_cut_before: bool, is_cut_behind: bool) -> String {
    let fit = |c| match c {
        '\t' => ' ',
        c if unprintable(c) => char::REPLACEMENT_CHARACTER,
        c => c,
    };
    let mut out: Vec<char> = String::from_utf8_lossy(bytes).chars().map(fit).collect();
    if let Some(first) = out.first_mut().filter(|_| is_cut_before) {
        *first = '…';
    }
    if let Some(last) = out.last_mut().filter(|_| is_cut_behind) {
        *last = '…';
    }
    out.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_at_any_of_the_three_ends() {
        let found = lines(b"one\rtwo\r\n\nfour", [0, 1, 2, 3, 4, 9].into());
        let found: Vec<(u32, &[u8])> = found.into_iter().collect();
        assert_eq!(found, [(1, &b"one"[..]), (2, b"two"), (3, b""), (4, b"four")]);
    }

    #[test]
    fn long_lines_are_cut_round_the_column() {
        let line: Vec<u8> = (0..1000).map(|i| b"0123456789"[i / 100]).collect();
        for (column, under) in [(1, '0'), (60, '0'), (451, '4'), (951, '9'), (u32::MAX, '\0')] {
            let cut = excerpt(&line, column).unwrap();
            assert_eq!(cut.text.chars().count(), LONGEST, "{column}");
            assert_eq!(cut.text.chars().nth(cut.caret as usize).unwrap_or('\0'), under, "{column}: {}", cut.text);
        }
        assert!(excerpt(&line, 451).unwrap().text.starts_with('…'));
    }

    #[test]
    fn what_a_terminal_would_obey_is_not_shown() {
        let cut = excerpt(b"G04 \x1b[31m\xff\t\xe2\x80\xae*", 8).unwrap();
        assert_eq!(cut, Excerpt { text: "G04 \u{FFFD}[31m\u{FFFD} \u{FFFD}*".to_owned(), caret: 7 });
        assert_eq!(excerpt(b" \t ", 1), None);
    }
}
