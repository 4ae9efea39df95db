//! Width: how thin copper gets over a stretch at least as long as it is wide.
//!
//! Method: a width is twice the radius of a largest disc that fits in the copper and touches the
//! boundary at two opposite points. For every straight piece of boundary the nearest piece facing
//! it across the copper is found; the disc on that chord must be empty of boundary; and copper must
//! stay that thin over a length no less than the width. Corners, wedges and pad shoulders have no
//! two opposite touching points, and a round land is thin over no length at all.

use landgap_parser::{Nm, Point};

use super::sliver::Tongues;
use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, plane_web, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span, point_segment, segment_segment};
use crate::geometry::edges::{BoundaryEdge, EdgeIndex};
use crate::geometry::flatten::FLATTENING;

/// Cosine of the angle two facing pieces may deviate from opposite.
const FACING: f64 = 0.94;

/// Widths on one copper layer, by position, and the webs of planes among them. Tongues have a measure of their own.
pub(super) fn copper(bench: &Bench<'_>, layer: usize, tongues: &Tongues) -> (Found, Found) {
    let image = &bench.geometry.copper[layer];
    let index = &bench.copper[layer];
    let mut candidates: Vec<Candidate> = (0..index.edges().len()).filter_map(|i| chord(index, i)).collect();
    candidates.retain(|c| !tongues.hold(&c.span));
    let webs = plane_web::take(bench, layer, &mut candidates);
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::Width, image.layer, u);
        let net = image.islands[c.pair.0 as usize].net;
        // The copper stays that thin for at least its own width, or it would be no width.
        let length = base.length.unwrap_or(0).max(base.value);
        Fact {
            nets: vec![net],
            sources: provenance.both(base.from, base.to),
            length: Some(length),
            same_net: true,
            ..base
        }
    };
    let facts = spread(candidates).into_iter().map(fact).collect();
    (Found { facts, looked_at: index.edges().len() as u64 }, webs)
}

/// How many facing pieces to try from one piece of boundary before giving up.
const TRIES: usize = 16;

/// The narrowest true chord from one piece of boundary across the copper, if it lasts.
pub(super) fn chord(index: &EdgeIndex, i: usize) -> Option<Candidate> {
    let edge = &index.edges()[i];
    let span = across(index, edge)?;
    let island = edge.island;
    stays_thin(index, &span).then_some(Candidate { value: span.length, span, pair: (island, island) })
}

/// Unit normal of a piece of boundary, into the copper.
fn inward(edge: &BoundaryEdge) -> (f64, f64) {
    let (dx, dy) = ((edge.segment.b.x - edge.segment.a.x) as f64, (edge.segment.b.y - edge.segment.a.y) as f64);
    let length = (dx * dx + dy * dy).sqrt();
    (-dy / length, dx / length)
}

fn across(index: &EdgeIndex, edge: &BoundaryEdge) -> Option<Span> {
    let mut radius = HORIZON / 8;
    loop {
        let found = across_within(index, edge, radius);
        if found.is_some() || radius >= HORIZON {
            return found;
        }
        radius = (radius * 3).min(HORIZON);
    }
}

fn across_within(index: &EdgeIndex, edge: &BoundaryEdge, radius: Nm) -> Option<Span> {
    let normal = inward(edge);
    let mut facing: Vec<(f64, usize, Span)> = Vec::new();
    index.near_of(
        ahead(edge, normal, radius),
        |island| island == edge.island,
        |j| facing.extend(faces(edge, normal, &index.edges()[j], radius).map(|span| (span.length, j, span))),
    );
    facing.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    facing.into_iter().take(TRIES).map(|(_, _, span)| span).find(|span| is_empty(index, span))
}

/// The box that holds every chord from a piece that [`faces`] would take.
fn ahead(edge: &BoundaryEdge, normal: (f64, f64), radius: Nm) -> Bounds {
    let depth = radius as f64;
    let aside = depth * (1.0 - FACING * FACING).sqrt() / FACING;
    let mut bounds = Bounds::of(&[edge.segment.a, edge.segment.b]);
    for end in [edge.segment.a, edge.segment.b] {
        for side in [-aside, aside] {
            let (dx, dy) = (normal.0 * depth - normal.1 * side, normal.1 * depth + normal.0 * side);
            bounds.add(Point::new(end.x + dx.round() as Nm, end.y + dy.round() as Nm));
        }
    }
    bounds.grown(2)
}

/// The way to a piece that faces this one across copper, if it does and lies within `radius`.
fn faces(edge: &BoundaryEdge, normal: (f64, f64), other: &BoundaryEdge, radius: Nm) -> Option<Span> {
    let theirs = inward(other);
    if normal.0 * theirs.0 + normal.1 * theirs.1 > -FACING {
        return None;
    }
    let span = segment_segment(edge.segment, other.segment);
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let least = FACING * span.length;
    let into = dx * normal.0 + dy * normal.1 >= least && dx * theirs.0 + dy * theirs.1 <= -least;
    (into && span.length > 1.0 && span.length <= radius as f64).then_some(span)
}

/// Whether the disc on a chord holds no other boundary.
fn is_empty(index: &EdgeIndex, span: &Span) -> bool {
    let half = span.length / 2.0;
    room(index, span.middle(), half).is_none_or(|(distance, _)| distance >= half - 2.5 * FLATTENING as f64)
}

/// Whether copper stays about as thin over a length of one width, to one side or round the chord.
fn stays_thin(index: &EdgeIndex, span: &Span) -> bool {
    let (mx, my) = span.middle();
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let thin = |part: f64| {
        let at = (mx - dy * part, my + dx * part);
        room(index, at, span.length * 0.6).is_some_and(|(distance, inside)| {
            inside && distance >= span.length * 0.35 && distance <= span.length * 0.58
        })
    };
    let (back, ahead) = (thin(-0.5), thin(0.5));
    (ahead && (back || thin(1.0))) || (back && thin(-1.0))
}

/// Distance from a point to the nearest boundary within `reach`, and whether the point is in copper.
/// At a corner both pieces are as near; the one whose line lies farther off tells the side.
fn room(index: &EdgeIndex, at: (f64, f64), reach: f64) -> Option<(f64, bool)> {
    let point = crate::geometry::distance::round(at);
    let mut best: Option<(f64, f64)> = None;
    index.near(Bounds { min: point, max: point }.grown(reach.ceil() as Nm), |i| {
        let segment = index.edges()[i].segment;
        let distance = point_segment(at, segment).length;
        if distance <= reach && best.is_none_or(|(b, _)| distance <= b) {
            let off = height(segment, at);
            if best.is_none_or(|(b, other)| distance < b || off.abs() > other.abs()) {
                best = Some((distance, off));
            }
        }
    });
    best.map(|(distance, off)| (distance, off > 0.0))
}

/// How far a point lies to the left of the line through a segment.
fn height(s: Segment, at: (f64, f64)) -> f64 {
    let (dx, dy) = ((s.b.x - s.a.x) as f64, (s.b.y - s.a.y) as f64);
    (dx * (at.1 - s.a.y as f64) - dy * (at.0 - s.a.x as f64)) / (dx * dx + dy * dy).sqrt()
}
