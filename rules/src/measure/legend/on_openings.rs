//! Ink near openings, and in them.

use landgap_parser::Point;

use super::Legend;
use super::ink::Ink;
use crate::board::{LayerRef, Source};
use crate::fact::{Fact, FactKind};
use crate::geometry::boxes::Boxes;
use crate::geometry::distance::{Segment, Span, float};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, LayerImage};
use crate::measure::spread::{Candidate, spread};
use crate::measure::{Bench, Found, HORIZON, uncertainty};

/// Openings of one mask, by box.
struct Ground<'a> {
    image: &'a LayerImage,
    index: &'a EdgeIndex,
    boxes: Boxes,
}

/// Every piece of ink of one legend against the openings of its side.
pub(super) fn of(bench: &Bench<'_>, legend: &Legend) -> Found {
    let side = LayerRef::Mask(legend.side);
    let Some(position) = bench.geometry.masks.iter().position(|m| m.layer == side) else { return Found::default() };
    let image = &bench.geometry.masks[position];
    let boxes: Vec<Bounds> = image.islands.iter().map(|i| i.bounds).collect();
    let ground = Ground { image, index: &bench.masks[position], boxes: Boxes::new(&boxes) };
    let mut candidates: Vec<(Candidate, u32)> = Vec::new();
    for ink in &legend.ink {
        let near = ground.boxes.meeting(&ink.bounds.grown(HORIZON));
        if !near.is_empty() {
            candidates.extend(ink.pieces().filter_map(|piece| piece_on(&ground, ink, piece)).map(|c| (c, ink.line)));
            candidates.extend(near.iter().filter_map(|i| buried(&ground, ink, *i)).map(|c| (c, ink.line)));
        }
    }
    let u = uncertainty::boundary(image.step) + uncertainty::boundary(legend.step);
    let lines: std::collections::BTreeMap<_, u32> = candidates.iter().map(|(c, line)| (key(c), *line)).collect();
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::LegendToOpening, legend.layer, u);
        let line = lines.get(&key(&c)).copied().unwrap_or(0);
        Fact { sources: vec![Source { file: legend.file, line }], length: None, ..base }
    };
    let facts = spread(candidates.iter().map(|(c, _)| *c).collect()).into_iter().map(fact).collect();
    Found { facts, looked_at: legend.ink.len() as u64 }
}

fn key(c: &Candidate) -> (i64, Point, Point, u32) {
    let (from, to) = c.span.points();
    (c.value.round() as i64, from, to, c.pair.0)
}

/// A piece of a centre line or of an area's edge: its distance to the nearest opening, or how deep it lies in one.
fn piece_on(ground: &Ground<'_>, ink: &Ink, piece: Segment) -> Option<Candidate> {
    let bounds = Bounds::of(&[piece.a, piece.b]);
    let held = ground.boxes.meeting(&bounds);
    let deep = held.iter().filter_map(|i| depth(ground, *i, piece)).reduce(deeper);
    if let Some((opening, span)) = deep {
        let span = stretched(span, ink.half);
        return Some(Candidate { value: -span.length, span, pair: (opening, opening) });
    }
    let reach = HORIZON + ink.half.ceil() as i64;
    let (edge, span) = ground.index.nearest(&[piece.a, piece.b], reach, |_, _| true)?;
    let opening = ground.index.edges()[edge].island;
    let value = span.length - ink.half;
    let part = if span.length > 0.0 { ink.half / span.length } else { 0.0 };
    let from = (span.from.0 + (span.to.0 - span.from.0) * part, span.from.1 + (span.to.1 - span.from.1) * part);
    let span = Span { length: value.abs(), from, ..span };
    (value <= crate::measure::HORIZON as f64).then_some(Candidate { value, span, pair: (opening, opening) })
}

fn deeper(a: (u32, Span), b: (u32, Span)) -> (u32, Span) {
    if b.1.length > a.1.length { b } else { a }
}

/// The point of a piece that lies deepest in an opening, of its ends and its middle.
fn depth(ground: &Ground<'_>, opening: usize, piece: Segment) -> Option<(u32, Span)> {
    let island = &ground.image.islands[opening];
    let middle = Point::new(piece.a.x.midpoint(piece.b.x), piece.a.y.midpoint(piece.b.y));
    let mut deepest: Option<Span> = None;
    for p in [piece.a, middle, piece.b] {
        let inside = island.contours.iter().filter(|c| encloses(c, p)).count() % 2 == 1;
        if !inside {
            continue;
        }
        let reach = island.bounds.width().max(island.bounds.height());
        let found = ground.index.nearest(&[p], reach, |_, e| e.island as usize == opening);
        if let Some((_, span)) = found.filter(|(_, s)| deepest.is_none_or(|d| s.length > d.length)) {
            deepest = Some(span);
        }
    }
    deepest.map(|span| (opening as u32, span))
}

/// A span from a centre line to the opening's edge, begun half a pen farther in.
fn stretched(span: Span, half: f64) -> Span {
    if span.length == 0.0 {
        return Span { length: half, ..span };
    }
    let part = half / span.length;
    let from = (span.from.0 - (span.to.0 - span.from.0) * part, span.from.1 - (span.to.1 - span.from.1) * part);
    Span { length: span.length + half, from, ..span }
}

fn encloses(contour: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
        if (a.y > p.y) != (b.y > p.y) {
            let x = a.x as f64 + (p.y - a.y) as f64 / (b.y - a.y) as f64 * (b.x - a.x) as f64;
            inside ^= x > p.x as f64;
        }
    }
    inside
}

/// An opening wholly under a filled area.
fn buried(ground: &Ground<'_>, ink: &Ink, opening: usize) -> Option<Candidate> {
    let island = &ground.image.islands[opening];
    let b = island.bounds;
    let within = ink.area
        && b.min.x >= ink.bounds.min.x
        && b.max.x <= ink.bounds.max.x
        && b.min.y >= ink.bounds.min.y
        && b.max.y <= ink.bounds.max.y;
    if !within || !island.contours[0].iter().all(|p| ink.holds(float(*p))) {
        return None;
    }
    let middle = (b.min.x.midpoint(b.max.x) as f64, b.min.y.midpoint(b.max.y) as f64);
    let depth = b.width().min(b.height()) as f64 / 2.0;
    let to = (
        middle.0 + if b.width() <= b.height() { depth } else { 0.0 },
        middle.1 + if b.width() <= b.height() { 0.0 } else { depth },
    );
    let span = Span { length: depth, from: middle, to, run: None };
    Some(Candidate { value: -depth, span, pair: (opening as u32, opening as u32) })
}
