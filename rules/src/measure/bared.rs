//! Copper of another net near an opening, or bared by it.
//!
//! Method: for every straight piece of an opening's edge, the nearest copper of a net that has no
//! land in that opening. Where such copper crosses the edge, how far it lies in the opening is the
//! largest distance from its own edge to the opening's. Copper drawn by an object that lies wholly
//! in the opening is a land, however it was drawn, and is opened on purpose.

use std::collections::BTreeSet;

use landgap_parser::Point;

use super::openings::{Openings, SideOpenings};
use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span};
use crate::geometry::edges::EdgeIndex;

/// Pieces of copper edge are looked at in so many places first.
const STEPS: u32 = 16;
/// So many pieces are looked at on one mask, shared out over the openings crossed: no fewer and no more for each.
const PIECES: usize = 40_000;
const LEAST_PIECES: usize = 8;
const MOST_PIECES: usize = 1_000;
/// Then the deepest is closed in on: each step leaves two thirds.
const CLOSER: u32 = 40;

/// Every opening with a land, on every mask.
pub(super) fn copper(bench: &Bench<'_>, openings: &Openings<'_>) -> Found {
    let mut found = Found::default();
    openings.sides().for_each(|side| on(bench, side, &mut found));
    found
}

fn on(bench: &Bench<'_>, side: &SideOpenings<'_>, found: &mut Found) {
    let face = &side.face;
    let position = face.copper.number as usize - 1;
    let (copper, image) = (&bench.copper[position], &bench.geometry.copper[position]);
    let net = |island: u32| image.islands[island as usize].net;
    let mut candidates = Vec::new();
    let mut crossed: BTreeSet<(u32, u32)> = BTreeSet::new();
    for edge in face.mask.edges() {
        let own = &side.list[edge.island as usize].nets;
        if own.is_empty() {
            continue;
        }
        found.looked_at += 1;
        let path = [edge.segment.a, edge.segment.b];
        let foreign = |_: usize, e: &crate::geometry::edges::BoundaryEdge| !own.contains(&net(e.island));
        let Some((other, span)) = copper.nearest(&path, HORIZON, foreign) else { continue };
        let theirs = net(copper.edges()[other].island);
        if span.length < 1.0 {
            crossed.insert((edge.island, theirs));
        } else {
            candidates.push(Candidate { value: span.length, span, pair: (edge.island, theirs) });
        }
    }
    candidates.retain(|c| !crossed.contains(&c.pair));
    let pieces = (PIECES / crossed.len().max(1)).clamp(LEAST_PIECES, MOST_PIECES);
    candidates.extend(crossed.iter().filter_map(|pair| bare(bench, side, *pair, pieces)));
    let u = uncertainty::boundary(face.openings.step) + uncertainty::boundary(image.step);
    let lines = &bench.copper_lines[position];
    for c in spread(candidates) {
        // What lies open there is the matter of the mask left between two openings.
        if c.value > 0.0 && face.mask.island_at(beyond(&c.span)).is_some() {
            continue;
        }
        let base = c.fact(FactKind::OpeningToCopper, face.openings.layer, u);
        let own = &side.list[c.pair.0 as usize].nets;
        let mine = own.first().copied();
        // How far that copper lies from what is opened on purpose.
        let apart = copper.nearest(&[base.to], HORIZON, |_, e| own.contains(&net(e.island)));
        let length = apart.map_or(HORIZON, |(_, span)| span.length.round() as i64);
        let sources = lines.at(base.to).into_iter().chain(bench.mask_lines[face.position].at(base.from)).collect();
        found.facts.push(Fact {
            nets: mine.into_iter().chain([c.pair.1]).collect(),
            sources,
            length: Some(length),
            ..base
        });
    }
}

/// A point in the copper just beyond the far end of a span.
fn beyond(span: &Span) -> Point {
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let part = 2_000.0 / span.length.max(1.0);
    crate::geometry::distance::round((span.to.0 + dx * part, span.to.1 + dy * part))
}

/// How far copper of a net lies in an opening whose edge it crosses; `None` where a land of that net lies in it.
fn bare(
    bench: &Bench<'_>,
    side: &SideOpenings<'_>,
    (opening, net): (u32, u32),
    mut pieces: usize,
) -> Option<Candidate> {
    let face = &side.face;
    let position = face.copper.number as usize - 1;
    let (copper, image) = (&bench.copper[position], &bench.geometry.copper[position]);
    let bounds = face.openings.islands[opening as usize].bounds;
    let land = |p: Point| copper.island_at(p).is_some_and(|i| image.islands[i as usize].net == net);
    if bench.copper_lines[position].within(&bounds.grown(1_000)).into_iter().any(land) {
        return None;
    }
    let mut deepest: Option<Span> = None;
    copper.near_of(
        bounds,
        |island| image.islands[island as usize].net == net,
        |i| {
            if pieces == 0 {
                return;
            }
            pieces -= 1;
            let found =
                deepest_on(face.mask, opening, bounds, copper.edges()[i].segment, deepest.map_or(0.0, |d| d.length));
            if let Some(span) = found.filter(|s| deepest.is_none_or(|d| s.length > d.length)) {
                deepest = Some(span);
            }
        },
    );
    deepest.map(|span| Candidate { value: -span.length, span, pair: (opening, net) })
}

/// The point of a piece of copper edge that lies deepest in an opening, with the way from the opening's edge to it.
/// `known` is how deep another piece lies; one that cannot lie deeper is not looked at closely.
fn deepest_on(mask: &EdgeIndex, opening: u32, bounds: Bounds, piece: Segment, known: f64) -> Option<Span> {
    let (from, to) = clipped(bounds, piece)?;
    let at = |part: f64| {
        let (dx, dy) = ((piece.b.x - piece.a.x) as f64, (piece.b.y - piece.a.y) as f64);
        Point::new(piece.a.x + (dx * part).round() as i64, piece.a.y + (dy * part).round() as i64)
    };
    let depth = |part: f64| {
        let p = at(part);
        if mask.island_at(p) != Some(opening) {
            return None;
        }
        mask.nearest(&[p], HORIZON * 4, |_, e| e.island == opening).map(|(_, span)| span.flipped())
    };
    let length = |part: f64| depth(part).map_or(0.0, |s| s.length);
    let step = (to - from) / f64::from(STEPS);
    let parts = (0..=STEPS).map(|i| from + step * f64::from(i));
    let best = parts.filter(|p| depth(*p).is_some()).max_by(|a, b| length(*a).total_cmp(&length(*b)))?;
    if length(best) + step * piece.a.distance(piece.b) <= known {
        return depth(best);
    }
    let (mut low, mut high) = ((best - step).max(from), (best + step).min(to));
    for _ in 0..CLOSER {
        let third = (high - low) / 3.0;
        if length(low + third) < length(high - third) { low += third } else { high -= third }
    }
    let close = f64::midpoint(low, high);
    depth(if length(close) > length(best) { close } else { best })
}

/// The parts of a piece between which it lies in a box.
fn clipped(bounds: Bounds, s: Segment) -> Option<(f64, f64)> {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    let axes = [(s.a.x, s.b.x, bounds.min.x, bounds.max.x), (s.a.y, s.b.y, bounds.min.y, bounds.max.y)];
    for (a, b, low, high) in axes {
        if a == b {
            if a < low || a > high {
                return None;
            }
            continue;
        }
        let part = |v: i64| (v - a) as f64 / (b - a) as f64;
        let (p, q) = (part(low), part(high));
        from = from.max(p.min(q));
        to = to.min(p.max(q));
    }
    (from <= to).then_some((from, to))
}
