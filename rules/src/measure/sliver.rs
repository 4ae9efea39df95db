//! Slivers: tongues of copper that end in a thin tip.
//!
//! Method: a tip is a short run of corners over which the boundary turns back on itself. From both
//! ends of that run we go [`DEPTH`] along either side; the sliver's width is the way from there to
//! the other side, the greater of the two. A tongue that is no wider further back is the end of a
//! track, not a sliver. A corner of 40° or more is too wide at that depth to be kept.

use landgap_parser::{Nm, Point};

use super::spread::{Candidate, spread};
use super::{Bench, Found, uncertainty};
use crate::fact::{FINE_HORIZON, Fact, FactKind, SLIVER_DEPTH as DEPTH};
use crate::geometry::distance::{Segment, Span, float, point_segment, round};
use crate::geometry::{Bounds, LayerImage};

/// So far from the tip the sides are followed.
const FAR: f64 = 4.0 * DEPTH as f64;

/// So many times as deep it must be so many times as wide, one or the other.
const WIDENS: [(f64, f64); 2] = [(2.0, 1.5), (4.0, 2.0)];

/// No tongue followed so far is larger across.
const LARGEST: Nm = 2 * FAR as Nm + 2 * CORNERS as Nm;

/// How far a rounded witness point may lie from the side it stands on.
const ON_IT: f64 = 3.0;

/// The longest run of corners that makes a tip.
const TIP: f64 = 240_000.0;

/// Corners farther apart than this belong to different tips.
const CORNERS: f64 = FINE_HORIZON as f64;

/// The least turn of a tip, in radians: what is left is the angle of the widest tongue kept.
const TURN: f64 = 2.44;

/// Smaller turns are roundings of a straight side.
const STRAIGHT: f64 = 0.02;

/// A tongue: its sides from the tip on, and how wide it is.
pub(super) struct Tongue {
    island: u32,
    sides: [Vec<(f64, f64)>; 2],
    span: Span,
    bounds: Bounds,
}

/// The tongues of a layer, and how many tips were looked at.
#[derive(Default)]
pub(super) struct Tongues {
    list: Vec<Tongue>,
    looked_at: u64,
}

impl Tongues {
    /// Finds them.
    pub(super) fn of(image: &LayerImage) -> Self {
        let mut out = Self::default();
        for (island, shape) in (0u32..).zip(&image.islands) {
            for contour in &shape.contours {
                for tip in tips(contour) {
                    out.looked_at += 1;
                    out.list.extend(tongue(contour, tip, island));
                }
            }
        }
        out.list.sort_by_key(|t| (t.bounds.min, t.bounds.max));
        out
    }

    /// Whether a way across copper lies between the sides of one of them.
    pub(super) fn hold(&self, span: &Span) -> bool {
        let (from, to) = span.points();
        let start = self.list.partition_point(|t| t.bounds.min.x < from.x - LARGEST);
        let near = self.list[start..].iter().take_while(|t| t.bounds.min.x <= from.x);
        near.into_iter().any(|t| {
            let near = |p| t.bounds.meets(&Bounds { min: p, max: p });
            let on = |p: (f64, f64), side: &[(f64, f64)]| nearest(p, side).length <= ON_IT;
            near(from)
                && near(to)
                && (on(span.from, &t.sides[0]) && on(span.to, &t.sides[1])
                    || on(span.from, &t.sides[1]) && on(span.to, &t.sides[0]))
        })
    }
}

/// Slivers of one copper layer, by position.
pub(super) fn copper(bench: &Bench<'_>, layer: usize, tongues: &Tongues) -> Found {
    let image = &bench.geometry.copper[layer];
    let candidate = |t: &Tongue| Candidate { value: t.span.length, span: t.span, pair: (t.island, t.island) };
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::Sliver, image.layer, u);
        let net = image.islands[c.pair.0 as usize].net;
        Fact {
            nets: vec![net],
            sources: provenance.both(base.from, base.to),
            length: Some(DEPTH),
            same_net: true,
            ..base
        }
    };
    let facts = spread(tongues.list.iter().map(candidate).collect()).into_iter().map(fact).collect();
    Found { facts, looked_at: tongues.looked_at }
}

/// First and last corner of a tip, by index.
type Tip = (usize, usize);

/// Runs of corners over which the boundary turns back on itself round copper.
fn tips(contour: &[Point]) -> Vec<Tip> {
    let n = contour.len();
    if n < 3 {
        return Vec::new();
    }
    let turns: Vec<f64> = (0..n).map(|i| turn(contour[(i + n - 1) % n], contour[i], contour[(i + 1) % n])).collect();
    let far = |i: usize| contour[i].distance(contour[(i + 1) % n]) > CORNERS;
    // Runs are cut at straight or hollow corners and at long sides; start behind such a cut.
    let ends = |i: usize| turns[i] <= STRAIGHT || far(i);
    let Some(cut) = (0..n).find(|i| ends(*i)) else { return Vec::new() };
    let mut out = Vec::new();
    let (mut first, mut sum, mut length) = (None, 0.0, 0.0);
    for k in 1..=n {
        let i = (cut + k) % n;
        if turns[i] > STRAIGHT {
            let start = *first.get_or_insert(i);
            sum += turns[i];
            if ends(i) || k == n || turns[(i + 1) % n] <= STRAIGHT {
                if sum >= TURN && length <= TIP {
                    out.push((start, i));
                }
                (first, sum, length) = (None, 0.0, 0.0);
            } else {
                length += contour[i].distance(contour[(i + 1) % n]);
            }
        }
    }
    out
}

/// Left turn at `b`, in radians.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    let (ux, uy) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
    let (vx, vy) = ((c.x - b.x) as f64, (c.y - b.y) as f64);
    (ux * vy - uy * vx).atan2(ux * vx + uy * vy)
}

/// The tongue behind a tip, if it is thin there and widens further back.
fn tongue(contour: &[Point], (first, last): Tip, island: u32) -> Option<Tongue> {
    let n = contour.len();
    let deep = 2.0 * DEPTH as f64;
    let near = at(&walk(contour, first, n - 1, deep), DEPTH as f64)?;
    let there = at(&walk(contour, last, 1, deep), DEPTH as f64)?;
    if (near.0 - there.0).hypot(near.1 - there.1) > 2.0 * FINE_HORIZON as f64 {
        return None;
    }
    let (back, ahead) = (walk(contour, first, n - 1, FAR), walk(contour, last, 1, FAR));
    let across = |depth: f64| {
        let (p, q) = (at(&back, depth)?, at(&ahead, depth)?);
        let (one, other) = (nearest(p, &ahead), nearest(q, &back));
        Some(if one.length >= other.length { one } else { other.flipped() })
    };
    let span = across(DEPTH as f64)?;
    let widens = |(times, more): (f64, f64)| {
        across(times * DEPTH as f64).is_some_and(|further| further.length >= more * span.length)
    };
    if span.length > FINE_HORIZON as f64 || span.length < 1.0 || !WIDENS.into_iter().any(widens) {
        return None;
    }
    let mut bounds = Bounds::EMPTY;
    back.iter().chain(&ahead).for_each(|p| bounds.add(round(*p)));
    Some(Tongue { island, sides: [back, ahead], span, bounds: bounds.grown(ON_IT as Nm) })
}

/// The way along a contour from one corner on, by `stride`, as far as `reach` and at most once round.
fn walk(contour: &[Point], from: usize, stride: usize, reach: f64) -> Vec<(f64, f64)> {
    let n = contour.len();
    let mut out = vec![float(contour[from])];
    let (mut left, mut i) = (reach, from);
    while left > 0.0 && out.len() < n {
        let next = (i + stride) % n;
        let (a, b) = (float(contour[i]), float(contour[next]));
        let step = contour[i].distance(contour[next]);
        let part = (left / step.max(1.0)).min(1.0);
        out.push((a.0 + (b.0 - a.0) * part, a.1 + (b.1 - a.1) * part));
        left -= step;
        i = next;
    }
    out
}

/// The point this far along a path.
fn at(path: &[(f64, f64)], mut length: f64) -> Option<(f64, f64)> {
    for pair in path.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let step = dx.hypot(dy);
        if step + 1.0 >= length {
            let part = (length / step.max(1.0)).min(1.0);
            return Some((pair[0].0 + dx * part, pair[0].1 + dy * part));
        }
        length -= step;
    }
    None
}

/// The shortest way from a point to a path.
fn nearest(p: (f64, f64), path: &[(f64, f64)]) -> Span {
    let whole = |v: (f64, f64)| Point::new(v.0 as Nm, v.1 as Nm);
    path.windows(2)
        .map(|pair| point_segment(p, Segment { a: whole(pair[0]), b: whole(pair[1]) }))
        .fold(Span::FAR, Span::shorter)
}
