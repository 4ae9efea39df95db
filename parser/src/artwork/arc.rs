//! From the words of an arc to its centre, in steps of the coordinate format.

use std::f64::consts::{FRAC_PI_2, TAU};

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

/// A remark: code, what was found, what was expected.
pub type Said = (&'static Code, String, &'static str);

/// Deviations of the radius that rounding to whole steps explains.
const ROUNDING: f64 = 3.0;

/// The path of an arc and what is to be said about it.
pub fn path(words: &Words) -> (Path, Option<Said>) {
    if words.multi_quadrant { multi(words) } else { single(words) }
}

fn minus(a: Steps, b: Steps) -> (f64, f64) {
    ((a.0 - b.0) as f64, (a.1 - b.1) as f64)
}

fn length((x, y): (f64, f64)) -> f64 {
    x.hypot(y)
}

fn multi(words: &Words) -> (Path, Option<Said>) {
    if words.offset == (0, 0) {
        let code = if words.from == words.to { &codes::ARC_POINT } else { &codes::ARC_NO_RADIUS };
        return (Path::Line, Some((code, "an arc with I and J both 0".into(), "a centre")));
    }
    let centre = (words.from.0 + words.offset.0, words.from.1 + words.offset.1);
    if words.from != words.to && in_line(words.from, words.to, centre) {
        let far = length(minus(words.to, words.from)) > ROUNDING;
        let code = if far { &codes::ARC_NONSENSE } else { &codes::ARC_IN_LINE };
        return (
            Path::Line,
            Some((
                code,
                "an arc whose centre lies in line with its ends".into(),
                "a centre as far from one end as from the other",
            )),
        );
    }
    judged(words, centre)
}

/// Whether the centre lies on the line through both ends, but not between them.
fn in_line(from: Steps, to: Steps, centre: Steps) -> bool {
    let wide = |a: Steps, b: Steps| (i128::from(a.0 - b.0), i128::from(a.1 - b.1));
    let (chord, reach) = (wide(to, from), wide(centre, from));
    let cross = chord.0 * reach.1 - chord.1 * reach.0;
    let along = chord.0 * reach.0 + chord.1 * reach.1;
    cross == 0 && (along <= 0 || along >= chord.0 * chord.0 + chord.1 * chord.1)
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
        return (path, Some((code, found, "one radius")));
    }
    let chord = micrometres(length(minus(words.to, words.from)));
    if words.from != words.to && chord < 1.0 {
        return (path, Some((&codes::ARC_SHORT, format!("an arc whose ends are {chord:.3} µm apart"), "1 µm or more")));
    }
    (path, None)
}

/// Single quadrant: of the four centres, the one that gives the least deviation within a quarter turn.
fn single(words: &Words) -> (Path, Option<Said>) {
    if words.from == words.to {
        return (Path::Line, None);
    }
    let (i, j) = (words.offset.0.abs(), words.offset.1.abs());
    let mut best: Option<(f64, Steps)> = None;
    for (x, y) in [(i, j), (-i, j), (i, -j), (-i, -j)] {
        let centre = (words.from.0 + x, words.from.1 + y);
        let (u, v) = (minus(words.from, centre), minus(words.to, centre));
        let radius = length(u);
        if radius == 0.0 || sweep(u, v, words.counter_clockwise) > FRAC_PI_2 + ROUNDING / radius {
            continue;
        }
        let deviation = (radius - length(v)).abs();
        if best.is_none_or(|(least, _)| deviation < least) {
            best = Some((deviation, centre));
        }
    }
    match best {
        Some((_, centre)) => judged(words, centre),
        None => (
            Path::Line,
            Some((
                &codes::ARC_NO_QUADRANT,
                "a single-quadrant arc that no centre fits".into(),
                "a quarter turn or less",
            )),
        ),
    }
}

/// Angle from `u` to `v` in the direction of travel, 0 to a full turn.
fn sweep(u: (f64, f64), v: (f64, f64), counter_clockwise: bool) -> f64 {
    let angle = (u.0 * v.1 - u.1 * v.0).atan2(u.0 * v.0 + u.1 * v.1);
    let angle = if counter_clockwise { angle } else { -angle };
    if angle < 0.0 { angle + TAU } else { angle }
}
