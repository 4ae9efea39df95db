//! From the words of an arc to its centre, in steps of the coordinate format.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::codes;
use crate::remark::Code;

/// A position in steps.
pub type Steps = (i64, i64);

/// How the pen gets from one point to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Path {
    /// Straight, or a dot where both points are one.
    Line,
    /// Round a centre.
    Arc { centre: Steps, counter_clockwise: bool },
}

/// The words of an arc.
#[derive(Clone, Copy, Debug)]
pub struct Words {
    pub from: Steps,
    pub to: Steps,
    /// I and J, 0 where missing.
    pub offset: Steps,
    pub counter_clockwise: bool,
    /// G75 rather than G74.
    pub multi_quadrant: bool,
    /// Nanometres in a step.
    pub step: f64,
}

/// A remark on an arc.
#[derive(Debug)]
pub struct Said {
    pub code: &'static Code,
    pub found: String,
    pub expected: &'static str,
    /// The area between the two courses the arc may take, in square steps.
    pub between: f64,
}

impl Said {
    pub fn new(code: &'static Code, found: impl Into<String>, expected: &'static str, between: f64) -> Self {
        Self { code, found: found.into(), expected, between }
    }
}

/// Deviations of the radius that rounding to whole steps explains.
const ROUNDING: f64 = 3.0;

/// The path of an arc and what is to be said about it.
pub fn path(words: &Words) -> (Path, Option<Said>) {
    if words.multi_quadrant { multi(words) } else { single(words) }
}

fn minus(a: Steps, b: Steps) -> (f64, f64) {
    (a.0.saturating_sub(b.0) as f64, a.1.saturating_sub(b.1) as f64)
}

fn plus(a: Steps, b: Steps) -> Steps {
    (a.0.saturating_add(b.0), a.1.saturating_add(b.1))
}

fn length((x, y): (f64, f64)) -> f64 {
    x.hypot(y)
}

fn multi(words: &Words) -> (Path, Option<Said>) {
    if words.offset == (0, 0) {
        let code = if words.from == words.to { &codes::ARC_POINT } else { &codes::ARC_NO_RADIUS };
        // A half circle is the widest arc that may have been meant.
        let chord = length(minus(words.to, words.from));
        let between = PI * chord * chord / 8.0;
        return (Path::Line, Some(Said::new(code, "an arc with I and J both 0", "a centre", between)));
    }
    let centre = plus(words.from, words.offset);
    if words.from != words.to && in_line(words.from, words.to, centre) {
        let far = length(minus(words.to, words.from)) > ROUNDING;
        let code = if far { &codes::ARC_NONSENSE } else { &codes::ARC_IN_LINE };
        let found = "an arc whose centre lies in line with its ends";
        let between = full(words.from, centre);
        return (Path::Line, Some(Said::new(code, found, "a centre as far from one end as from the other", between)));
    }
    judged(words, centre)
}

/// Whether the centre lies on the line through both ends, but not between them.
fn in_line(from: Steps, to: Steps, centre: Steps) -> bool {
    let way = |a: Steps, b: Steps| (a.0.saturating_sub(b.0), a.1.saturating_sub(b.1));
    let product = |a: i64, b: i64| i128::from(a).saturating_mul(i128::from(b));
    let dot = |a: Steps, b: Steps| product(a.0, b.0).saturating_add(product(a.1, b.1));
    let (chord, reach) = (way(to, from), way(centre, from));
    let along = dot(chord, reach);
    product(chord.0, reach.1) == product(chord.1, reach.0) && (along <= 0 || along >= dot(chord, chord))
}

/// The arc round `centre`, with a word on how far its radii differ.
fn judged(words: &Words, centre: Steps) -> (Path, Option<Said>) {
    let path = Path::Arc { centre, counter_clockwise: words.counter_clockwise };
    let start = length(minus(words.from, centre));
    let end = length(minus(words.to, centre));
    let deviation = (start - end).abs();
    let micrometres = |steps: f64| steps * words.step / 1000.0;
    if deviation > ROUNDING {
        let is_error = deviation > (start.max(end) / 100.0).max(10.0);
        let code = if is_error { &codes::ARC_RADIUS_ERROR } else { &codes::ARC_RADIUS_WARNING };
        let found = format!(
            "an arc with radius {:.3} µm at its start and {:.3} µm at its end",
            micrometres(start),
            micrometres(end)
        );
        let between = (start * start - end * end).abs() / 2.0 * turned(words, centre);
        return (path, Some(Said::new(code, found, "one radius", between)));
    }
    let chord = micrometres(length(minus(words.to, words.from)));
    if words.from != words.to && chord < 1.0 {
        let found = format!("an arc whose ends are {chord:.3} µm apart");
        return (path, Some(Said::new(&codes::ARC_SHORT, found, "1 µm or more", full(words.from, centre))));
    }
    (path, None)
}

/// Single quadrant: of the four centres, the one that gives the least deviation within a quarter turn.
fn single(words: &Words) -> (Path, Option<Said>) {
    if words.from == words.to {
        return (Path::Line, None);
    }
    let (i, j) = (words.offset.0.saturating_abs(), words.offset.1.saturating_abs());
    let mut fitting: Vec<(f64, Steps)> = Vec::new();
    for offset in [(i, j), (i.saturating_neg(), j), (i, j.saturating_neg()), (i.saturating_neg(), j.saturating_neg())] {
        let centre = plus(words.from, offset);
        let (u, v) = (minus(words.from, centre), minus(words.to, centre));
        let radius = length(u);
        if radius == 0.0 || sweep(u, v, words.counter_clockwise) > FRAC_PI_2 + ROUNDING / radius {
            continue;
        }
        fitting.push(((radius - length(v)).abs(), centre));
    }
    fitting.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some((least, centre)) = fitting.first().copied() else {
        let other = multi(&Words { multi_quadrant: true, ..*words }).0;
        let found = "a single-quadrant arc that no centre fits";
        let between = off_chord(words, &other).abs();
        return (Path::Line, Some(Said::new(&codes::ARC_NO_QUADRANT, found, "a quarter turn or less", between)));
    };
    let (path, said) = judged(words, centre);
    let second = fitting.iter().find(|f| f.1 != centre && f.0 <= least + ROUNDING);
    let second = second.map(|f| Path::Arc { centre: f.1, counter_clockwise: words.counter_clockwise });
    let between = second.map_or(0.0, |other| between(words, &path, &other));
    if said.is_none() && between > ROUNDING * ROUNDING {
        let found = "a single-quadrant arc that two centres fit";
        return (path, Some(Said::new(&codes::ARC_TWO_CENTRES, found, "one centre", between)));
    }
    (path, said)
}

/// The area between two courses from the same start to the same end, in square steps.
pub fn between(words: &Words, one: &Path, other: &Path) -> f64 {
    (off_chord(words, one) - off_chord(words, other)).abs()
}

/// The area between a course and the straight way; arcs of one sense lie on one side of it.
fn off_chord(words: &Words, path: &Path) -> f64 {
    let Path::Arc { centre, .. } = *path else { return 0.0 };
    let (radius, turned) = (length(minus(words.from, centre)), turned(words, centre));
    radius * radius / 2.0 * (turned - turned.sin())
}

/// The angle an arc turns through; a full turn where it ends where it began.
fn turned(words: &Words, centre: Steps) -> f64 {
    let angle = sweep(minus(words.from, centre), minus(words.to, centre), words.counter_clockwise);
    if words.from == words.to { TAU } else { angle }
}

/// The full circle through a point.
fn full(from: Steps, centre: Steps) -> f64 {
    let radius = length(minus(from, centre));
    PI * radius * radius
}

/// Angle from `u` to `v` in the direction of travel, 0 to a full turn.
fn sweep(u: (f64, f64), v: (f64, f64), counter_clockwise: bool) -> f64 {
    let angle = (u.0 * v.1 - u.1 * v.0).atan2(u.0 * v.0 + u.1 * v.1);
    let angle = if counter_clockwise { angle } else { -angle };
    if angle < 0.0 { angle + TAU } else { angle }
}
