//! What checking a whole set promises.
//!
//! The bytes hold up to three files with a record separator (0x1E) between them; the first line of
//! each is its name.

use landgap_parser::Limits;
use landgap_rules::board::Source;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Told, judge, measure};

use super::{Lines, mark, small_limits};

const MOST_FILES: usize = 3;

/// The files some bytes stand for.
#[must_use]
pub fn files(bytes: &[u8]) -> Vec<InputFile> {
    let parts = bytes.split(|b| *b == 0x1E).take(MOST_FILES);
    let mut files: Vec<InputFile> = parts
        .map(|part| {
            let end = part.iter().position(|b| *b == b'\n').unwrap_or(part.len());
            let path = String::from_utf8_lossy(&part[..end]).into_owned();
            InputFile { path, bytes: part.get(end + 1..).unwrap_or_default().to_vec() }
        })
        .collect();
    files.sort_by(|a, b| a.path.cmp(&b.path));
    files.dedup_by(|a, b| a.path == b.path);
    files
}

/// Checks one input with small limits.
pub fn holds(bytes: &[u8]) {
    let files = files(bytes);
    let limits = Limits { objects: 300, vertices: 3_000, hits: 300, macro_steps: 2_000, ..small_limits() };
    let capability = Capability::named(Capability::names()[0]).expect("a built-in profile");
    let check = || {
        let measured = measure(&files, &Told::new(), &limits, &|_| {});
        let verdict = judge(&measured, &capability, &Order::default());
        (measured, verdict)
    };
    let (measured, verdict) = check();
    assert_eq!(mark(&(&measured, &verdict)), mark(&check()), "two checks differ");
    let lines: Vec<Lines> = files.iter().map(|f| Lines::of(&f.bytes)).collect();
    let inside = |source: &Source| lines[source.file as usize].hold_line(source.line);
    for (file, lines) in measured.board.files.iter().zip(&lines) {
        file.remarks.iter().for_each(|r| lines.hold(r.place));
    }
    measured.board.doubts.iter().flat_map(|d| &d.sources).for_each(inside);
    measured.facts.facts.iter().flat_map(|f| &f.sources).for_each(inside);
    for place in verdict.queries.iter().flat_map(|q| &q.places) {
        place.sources.iter().for_each(inside);
        let holes = measured.board.holes.len();
        assert!(place.holes.iter().all(|h| (*h as usize) < holes), "a place names a hole that is not there");
    }
    assert!(measured.facts.facts.iter().all(|f| f.uncertainty >= 0), "an uncertainty below zero");
}
