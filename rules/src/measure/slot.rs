//! Same-net slots: strips free of copper between two sides of one net.
//!
//! Method: for every straight piece of boundary the nearest piece of the same net that faces it
//! across the gap is found; the disc on that way must be empty of boundary, and the gap must stay as
//! narrow over [`LONG`] times its width. A notch between a track and the land it joins is narrow
//! over no such length.

use landgap_parser::{Nm, Point};

use super::spread::{Candidate, spread};
use super::{Bench, Found, uncertainty};
use crate::fact::{FINE_HORIZON, Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span, float, point_segment, round, segment_segment};
use crate::geometry::edges::{BoundaryEdge, EdgeIndex};
use crate::geometry::flatten::FLATTENING;

/// Cosine of the angle two sides may deviate from parallel.
const FACING: f64 = 0.94;

/// A slot runs at least this many times its width.
const LONG: f64 = 3.0;

/// How many facing pieces to try from one piece of boundary.
const TRIES: usize = 8;

/// Probes along the slot lie half a width apart, this many to each side.
const PROBES: i32 = 6;

/// Same-net slots of one copper layer, by position.
pub(super) fn copper(bench: &Bench<'_>, layer: usize) -> Found {
    let image = &bench.geometry.copper[layer];
    let index = &bench.copper[layer];
    let nets: Vec<u32> = image.islands.iter().map(|i| i.net).collect();
    let mut lengths = Vec::new();
    let mut candidates = Vec::new();
    for (i, edge) in index.edges().iter().enumerate() {
        let Some((other, span)) = across(index, &nets, i) else { continue };
        let Some(length) = length(index, &span) else { continue };
        let (a, b) = (edge.island, index.edges()[other].island);
        let (pair, span) = if a <= b { ((a, b), span) } else { ((b, a), span.flipped()) };
        lengths.push((round(span.middle()), length));
        candidates.push(Candidate { value: span.length, span, pair });
    }
    lengths.sort_unstable();
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::Slot, image.layer, u);
        let at = round(c.span.middle());
        let probed = lengths[lengths.partition_point(|(p, _)| *p < at)].1;
        Fact {
            nets: vec![nets[c.pair.0 as usize]],
            sources: provenance.both(base.from, base.to),
            length: base.length.max(Some(probed)),
            same_net: true,
            ..base
        }
    };
    Found { facts: spread(candidates).into_iter().map(fact).collect(), looked_at: index.edges().len() as u64 }
}

/// Unit normal of a piece of boundary, away from the copper.
fn outward(edge: &BoundaryEdge) -> (f64, f64) {
    let (dx, dy) = ((edge.segment.b.x - edge.segment.a.x) as f64, (edge.segment.b.y - edge.segment.a.y) as f64);
    let length = (dx * dx + dy * dy).sqrt();
    (dy / length, -dx / length)
}

/// The nearest piece of the same net that faces a piece across the gap.
fn across(index: &EdgeIndex, nets: &[u32], i: usize) -> Option<(usize, Span)> {
    let edge = &index.edges()[i];
    let normal = outward(edge);
    let own = nets[edge.island as usize];
    let mut facing: Vec<(Nm, usize, Span)> = Vec::new();
    index.near_of(
        ahead(edge, normal),
        |island| nets[island as usize] == own,
        |j| {
            let Some(span) = faces(edge, normal, &index.edges()[j]) else { return };
            // Corners of a flattened curve reach a little into the slot; ways between parallel sides go first.
            let slack = if span.run.is_none() { 2 * FLATTENING } else { 0 };
            facing.push((span.length.round() as Nm + slack, j, span));
        },
    );
    facing.sort_unstable_by_key(|(rank, j, _)| (*rank, *j));
    facing.into_iter().take(TRIES).find_map(|(_, j, span)| {
        // Sides that are not quite parallel are nearest at an end of the slot; the way in the middle of the
        // stretch they share goes first where it is no longer, and last where the end itself is as near.
        let empty = |s: &Span| is_empty(index, s);
        let middle = alongside(edge.segment, index.edges()[j].segment).filter(|m| m.length <= FINE_HORIZON as f64);
        let same = middle.filter(|m| m.length <= span.length + 2.0 * FLATTENING as f64);
        let found = same.filter(empty).or_else(|| Some(span).filter(empty)).or_else(|| middle.filter(empty))?;
        Some((j, found))
    })
}

/// The way across in the middle of the stretch two sides share.
fn alongside(s: Segment, t: Segment) -> Option<Span> {
    let (ax, ay) = float(s.a);
    let (dx, dy) = ((s.b.x - s.a.x) as f64, (s.b.y - s.a.y) as f64);
    let along = |p: Point| ((p.x as f64 - ax) * dx + (p.y as f64 - ay) * dy) / (dx * dx + dy * dy);
    let (a, b) = (along(t.a), along(t.b));
    let (start, end) = (a.min(b).max(0.0), a.max(b).min(1.0));
    let at = |part: f64| point_segment((ax + part * dx, ay + part * dy), t);
    let run = || (round(at(start).middle()), round(at(end).middle()));
    (start < end).then(|| Span { run: Some(run()), ..at((start + end) / 2.0) })
}

/// The box that holds every way from a piece that [`faces`] would take.
fn ahead(edge: &BoundaryEdge, normal: (f64, f64)) -> Bounds {
    let depth = FINE_HORIZON as f64;
    let aside = depth * (1.0 - FACING * FACING).sqrt() / FACING;
    let mut bounds = Bounds::EMPTY;
    for end in [edge.segment.a, edge.segment.b] {
        for side in [-aside, aside] {
            for (out, along) in [(2.0, 0.0), (depth, side)] {
                let (dx, dy) = (normal.0 * out - normal.1 * along, normal.1 * out + normal.0 * along);
                bounds.add(Point::new(end.x + dx.round() as Nm, end.y + dy.round() as Nm));
            }
        }
    }
    bounds
}

/// The way to a piece that faces this one across a gap, if it does and lies near.
fn faces(edge: &BoundaryEdge, normal: (f64, f64), other: &BoundaryEdge) -> Option<Span> {
    let (dx, dy) = ((other.segment.b.x - other.segment.a.x) as f64, (other.segment.b.y - other.segment.a.y) as f64);
    // The other's outward normal times its length; facing pieces run against each other.
    let dot = normal.0 * dy - normal.1 * dx;
    if dot > 0.0 || dot * dot < FACING * FACING * (dx * dx + dy * dy) {
        return None;
    }
    let span = segment_segment(edge.segment, other.segment);
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let out = dx * normal.0 + dy * normal.1 >= FACING * span.length;
    (out && span.length > 1.0 && span.length <= FINE_HORIZON as f64).then_some(span)
}

/// Whether the disc on a way holds no other boundary.
fn is_empty(index: &EdgeIndex, span: &Span) -> bool {
    let half = span.length / 2.0;
    let at = span.middle();
    let middle = round(at);
    let least = half - 2.5 * FLATTENING as f64;
    let mut empty = true;
    index.near(Bounds { min: middle, max: middle }.grown(half.ceil() as Nm), |i| {
        empty = empty && point_segment(at, index.edges()[i].segment).length >= least;
    });
    empty
}

/// How long the gap stays about as narrow, if that is long enough for a slot.
fn length(index: &EdgeIndex, span: &Span) -> Option<Nm> {
    let (mx, my) = span.middle();
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let narrow = |half_widths: i32| {
        let part = f64::from(half_widths) * 0.5;
        is_narrow(index, (mx - dy * part, my + dx * part), span)
    };
    let count = |side: i32| (1..=PROBES).take_while(|i| narrow(side * i)).count();
    let widths = (count(-1) + count(1)) as f64 * 0.5;
    (widths >= LONG).then(|| (widths * span.length).round() as Nm)
}

/// Whether boundary lies about as near to both sides of a point as on a way across.
fn is_narrow(index: &EdgeIndex, at: (f64, f64), across: &Span) -> bool {
    let width = across.length;
    let (nx, ny) = (across.to.0 - across.from.0, across.to.1 - across.from.1);
    let point = round(at);
    let (mut left, mut right) = (f64::INFINITY, f64::INFINITY);
    index.near(Bounds { min: point, max: point }.grown((0.8 * width).ceil() as Nm), |i| {
        let foot = point_segment(at, index.edges()[i].segment);
        let side = (foot.to.0 - at.0) * nx + (foot.to.1 - at.1) * ny;
        let nearest = if side > 0.0 { &mut left } else { &mut right };
        *nearest = nearest.min(foot.length);
    });
    left.min(right) >= 0.35 * width && left + right <= 1.16 * width && is_clear(index, at, width)
}

/// Whether the nearest boundary shows a point its outside.
/// At a corner both pieces are as near; the one whose line lies farther off tells the side.
fn is_clear(index: &EdgeIndex, at: (f64, f64), reach: f64) -> bool {
    let point = round(at);
    let mut best: Option<(f64, f64)> = None;
    index.near(Bounds { min: point, max: point }.grown(reach.ceil() as Nm), |i| {
        let edge = &index.edges()[i];
        let distance = point_segment(at, edge.segment).length;
        if best.is_none_or(|(b, _)| distance <= b) {
            let normal = outward(edge);
            let off = normal.0 * (at.0 - edge.segment.a.x as f64) + normal.1 * (at.1 - edge.segment.a.y as f64);
            if best.is_none_or(|(b, other)| distance < b || off.abs() > other.abs()) {
                best = Some((distance, off));
            }
        }
    });
    best.is_some_and(|(_, off)| off > 0.0)
}
