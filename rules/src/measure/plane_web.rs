//! Webs of a plane: the copper left between two clearances in it.
//!
//! Method: among the widths found, those that lie between two different clearances of
//! one island. A clearance is a hollow of the island, no larger than [`LARGEST`], round the axis of
//! a hole that does not touch that island. Such a width is given as a web and no longer as a width.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::spread::{Candidate, spread};
use super::{Bench, Found, uncertainty};
use crate::fact::{FINE_HORIZON, Fact, FactKind};
use crate::geometry::distance::{float, point_segment};
use crate::geometry::{Bounds, Island};

/// A larger hollow is a moat or a region of its own.
const LARGEST: Nm = 6_000_000;

/// How far a rounded witness point may lie from the boundary it stands on.
const ON_IT: f64 = 2.0;

/// Axes of the holes that pass a layer, by place.
pub(super) struct Axes {
    list: Vec<(Point, u32)>,
}

impl Axes {
    pub(super) fn of(bench: &Bench<'_>, layer: usize) -> Self {
        let number = layer as u32 + 1;
        let passes = |h: &crate::board::Hole| h.span.0 <= number && number <= h.span.1;
        let mut list: Vec<(Point, u32)> =
            (0u32..).zip(&bench.board.holes).filter(|(_, h)| passes(h)).map(|(i, h)| (h.at(), i)).collect();
        list.sort_unstable();
        Self { list }
    }

    /// Holes whose axis lies in a box.
    fn within(&self, b: Bounds) -> impl Iterator<Item = (Point, u32)> {
        let start = self.list.partition_point(|(p, _)| p.x < b.min.x);
        let near = self.list[start..].iter().take_while(move |(p, _)| p.x <= b.max.x).copied();
        near.filter(move |(p, _)| b.min.y <= p.y && p.y <= b.max.y)
    }
}

/// Takes the webs out of the widths of one copper layer, by position.
pub(super) fn take(bench: &Bench<'_>, layer: usize, widths: &mut Vec<Candidate>) -> Found {
    let axes = Axes::of(bench, layer);
    if axes.list.is_empty() {
        return Found::default();
    }
    let looked_at = widths.len() as u64;
    let numbers = numbers(bench, layer);
    let mut webs = Vec::new();
    let mut net_of = BTreeMap::new();
    widths.retain(|c| {
        let Some((island, pair)) = web(bench, layer, &axes, c) else { return true };
        let first = numbers[island as usize];
        let pair = (first + pair.0.min(pair.1), first + pair.0.max(pair.1));
        net_of.insert(pair, bench.geometry.copper[layer].islands[island as usize].net);
        webs.push(Candidate { pair, ..*c });
        false
    });
    let image = &bench.geometry.copper[layer];
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::PlaneWeb, image.layer, u);
        let nets = net_of.get(&c.pair).copied().into_iter().collect();
        Fact { nets, sources: provenance.both(base.from, base.to), same_net: true, ..base }
    };
    Found { facts: spread(webs).into_iter().map(fact).collect(), looked_at }
}

/// The number of each island's first contour, counting through the layer.
fn numbers(bench: &Bench<'_>, layer: usize) -> Vec<u32> {
    let mut next = 0;
    let first = |island: &Island| {
        let this = next;
        next += island.contours.len() as u32;
        this
    };
    bench.geometry.copper[layer].islands.iter().map(first).collect()
}

/// Island and two hollows a width lies between, if it is a web.
fn web(bench: &Bench<'_>, layer: usize, axes: &Axes, width: &Candidate) -> Option<(u32, (u32, u32))> {
    if width.value > FINE_HORIZON as f64 {
        return None;
    }
    let (from, to) = width.span.points();
    let (a, b) = (hollow(bench, layer, from)?, hollow(bench, layer, to)?);
    let between = a.0 == b.0 && a.1 != b.1 && [a, b].into_iter().all(|c| is_clearance(bench, layer, axes, c));
    between.then_some((a.0, (a.1, b.1)))
}

/// Island and number of the hollow whose boundary a point stands on.
fn hollow(bench: &Bench<'_>, layer: usize, p: Point) -> Option<(u32, u32)> {
    let index = &bench.copper[layer];
    let mut found = None;
    index.near(Bounds { min: p, max: p }.grown(ON_IT as Nm), |i| {
        let edge = &index.edges()[i];
        if point_segment(float(p), edge.segment).length <= ON_IT && edge.contour > 0 {
            found = Some((edge.island, edge.contour));
        }
    });
    found
}

fn is_clearance(bench: &Bench<'_>, layer: usize, axes: &Axes, (island, contour): (u32, u32)) -> bool {
    let ring = &bench.geometry.copper[layer].islands[island as usize].contours[contour as usize];
    let around = Bounds::of(ring);
    if around.width().max(around.height()) > LARGEST {
        return false;
    }
    let touches = |hole: u32| bench.touches.of(hole).iter().any(|t| t.layer == layer as u32 && t.island == island);
    axes.within(around).any(|(p, hole)| super::floating::encloses(ring, p) && !touches(hole))
}
