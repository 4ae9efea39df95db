//! Rows of characters and their height.
//!
//! Method: strokes of one pen that touch make a character; characters of equal height, measured
//! across the line through their middles, that follow each other closely make a row. The height is
//! the characters' extent across that line, pen included. Single characters and pairs say too
//! little and are left out, as is text drawn as areas.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::Legend;
use super::ink::Ink;
use crate::board::Source;
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::boxes::Boxes;
use crate::geometry::distance::Span;
use crate::geometry::distance::{round, segment_segment};
use crate::measure::spread::{Candidate, spread};
use crate::measure::{Bench, Found, uncertainty};

/// Characters are this high.
const HEIGHTS: std::ops::RangeInclusive<f64> = 300_000.0..=2_500_000.0;
/// Heights within one row differ by at most this share.
const EVEN: f64 = 0.04;
/// Most strokes of a character; more make a drawing.
const STROKES: usize = 40;
/// Fewest characters of a row.
const FEWEST: usize = 3;
/// More strokes or characters than this at one place are no text.
const CROWD: usize = 256;

/// Strokes that touch.
struct Character {
    at: (f64, f64),
    points: Vec<Point>,
    half: f64,
    line: u32,
    reach: f64,
}

/// One fact a row.
pub(super) fn of(bench: &Bench<'_>, legend: &Legend) -> Found {
    let characters = characters(legend);
    let boxes: Vec<Bounds> = characters.iter().map(|c| Bounds::of(&c.points)).collect();
    let index = Boxes::new(&boxes);
    let mut candidates = Vec::new();
    let mut lines = BTreeMap::new();
    for (number, character) in characters.iter().enumerate() {
        let at = round(character.at);
        if bench.edge.is_some_and(|edge| !edge.holds(at)) {
            continue;
        }
        let reach = (character.reach * 2.2) as Nm;
        let meeting = index.meeting(&boxes[number].grown(reach));
        if meeting.len() > CROWD {
            continue;
        }
        let mut near: Vec<&Character> = meeting
            .into_iter()
            .filter(|i| *i != number)
            .map(|i| &characters[i])
            .filter(|c| (c.half - character.half).abs() < 1.0)
            .collect();
        near.sort_by(|a, b| apart(character, a).total_cmp(&apart(character, b)));
        if let Some(span) = near.iter().take(8).find_map(|next| row(character, next, &near)) {
            let candidate = Candidate { value: span.length, span, pair: (0, 0) };
            lines.insert(span.points(), character.line);
            candidates.push(candidate);
        }
    }
    let u = 2 * uncertainty::boundary(legend.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::LegendHeight, legend.layer, u);
        let line = lines.get(&c.span.points()).copied().unwrap_or(0);
        Fact { sources: vec![Source { file: legend.file, line }], length: None, run: None, ..base }
    };
    Found { facts: spread(candidates).into_iter().map(fact).collect(), looked_at: characters.len() as u64 }
}

fn apart(a: &Character, b: &Character) -> f64 {
    (a.at.0 - b.at.0).hypot(a.at.1 - b.at.1)
}

/// The height of a character as one of a row with its neighbour: a third follows on the line through both.
fn row(first: &Character, second: &Character, near: &[&Character]) -> Option<Span> {
    let (dx, dy) = (second.at.0 - first.at.0, second.at.1 - first.at.1);
    let step = dx.hypot(dy);
    let along = (dx / step, dy / step);
    let (low, high) = across(first, along);
    let height = high - low;
    if !HEIGHTS.contains(&height) || step > height * 1.5 || width(first, along) > height * 1.2 {
        return None;
    }
    let even = |c: &Character| {
        let (l, h) = across(c, along);
        let aside = (c.at.0 - first.at.0) * -along.1 + (c.at.1 - first.at.1) * along.0;
        ((h - l) - height).abs() <= height * EVEN && aside.abs() <= height * EVEN
    };
    let others = near.iter().filter(|c| even(c)).count();
    if !even(second) || others + 1 < FEWEST {
        return None;
    }
    let point = |off: f64| (first.at.0 - along.1 * off, first.at.1 + along.0 * off);
    Some(Span { length: height, from: point(low), to: point(high), run: None })
}

/// Extent of a character across a direction, about its middle, pen included.
fn across(c: &Character, along: (f64, f64)) -> (f64, f64) {
    let off = |p: &Point| (p.x as f64 - c.at.0) * -along.1 + (p.y as f64 - c.at.1) * along.0;
    let (low, high) = c.points.iter().map(off).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    (low - c.half, high + c.half)
}

fn width(c: &Character, along: (f64, f64)) -> f64 {
    let (low, high) = across(c, (-along.1, along.0));
    high - low
}

/// Touching strokes of one pen, brought together.
fn characters(legend: &Legend) -> Vec<Character> {
    let strokes: Vec<&Ink> = legend.ink.iter().filter(|i| !i.area).collect();
    let boxes: Vec<Bounds> = strokes.iter().map(|i| i.bounds).collect();
    let index = Boxes::new(&boxes);
    let mut parent: Vec<usize> = (0..strokes.len()).collect();
    for (i, ink) in strokes.iter().enumerate() {
        if ink.bounds.width().max(ink.bounds.height()) as f64 > *HEIGHTS.end() {
            continue;
        }
        let meeting = index.meeting(&ink.bounds);
        if meeting.len() > CROWD {
            continue;
        }
        for j in meeting.into_iter().filter(|j| *j > i) {
            if (strokes[j].half - ink.half).abs() < 1.0 && touch(ink, strokes[j]) {
                let (a, b) = (root(&mut parent, i), root(&mut parent, j));
                parent[a.max(b)] = a.min(b);
            }
        }
    }
    let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    (0..strokes.len()).for_each(|i| groups.entry(root(&mut parent, i)).or_default().push(i));
    groups.into_values().filter(|g| g.len() <= STROKES).filter_map(|g| character(&strokes, &g)).collect()
}

fn touch(a: &Ink, b: &Ink) -> bool {
    let reach = a.half + b.half;
    a.pieces().any(|s| b.pieces().any(|t| segment_segment(s, t).length <= reach))
}

fn root(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}

fn character(strokes: &[&Ink], group: &[usize]) -> Option<Character> {
    let points: Vec<Point> = group.iter().flat_map(|i| strokes[*i].paths[0].iter().copied()).collect();
    let bounds = Bounds::of(&points);
    let reach = bounds.width().max(bounds.height()) as f64;
    let at = ((bounds.min.x + bounds.max.x) as f64 / 2.0, (bounds.min.y + bounds.max.y) as f64 / 2.0);
    let half = strokes[group[0]].half;
    (HEIGHTS.contains(&(reach + 2.0 * half))).then_some(Character {
        at,
        points,
        half,
        line: strokes[group[0]].line,
        reach,
    })
}
