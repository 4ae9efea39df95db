//! Ink near openings, and in them.

use landgap_parser::Point;

use super::Legend;
use super::ink::Ink;
use crate::board::{LayerRef, Source};
use crate::fact::{Fact, FactKind};
use crate::geometry::boxes::Boxes;
use crate::geometry::distance::{Segment, Span};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, LayerImage};
use crate::measure::spread::{Candidate, spread};
use crate::measure::{Bench, Found, HORIZON, uncertainty};

/// Longest part of a line that is looked at as one.
const PART: f64 = 2_000_000.0;

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
            let parts = ink.pieces().flat_map(parts);
            candidates.extend(parts.filter_map(|piece| piece_on(&ground, ink, piece)).map(|c| (c, ink.line)));
            candidates.extend(buried(&ground, ink, &near).into_iter().map(|c| (c, ink.line)));
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

/// A piece cut into parts no longer than [`PART`], so that each has few openings near.
fn parts(piece: Segment) -> impl Iterator<Item = Segment> {
    let count = (piece.a.distance(piece.b) / PART).ceil().max(1.0) as i64;
    let at = move |i: i64| {
        Point::new(piece.a.x + (piece.b.x - piece.a.x) * i / count, piece.a.y + (piece.b.y - piece.a.y) * i / count)
    };
    (0..count).map(move |i| Segment { a: at(i), b: at(i + 1) })
}

fn key(c: &Candidate) -> (i64, Point, Point, u32) {
    let (from, to) = c.span.points();
    (c.value.round() as i64, from, to, c.pair.0)
}

/// A piece of a centre line or of an area's edge: its distance to the nearest opening, or how deep it lies in one.
fn piece_on(ground: &Ground<'_>, ink: &Ink, piece: Segment) -> Option<Candidate> {
    let middle = Point::new(piece.a.x.midpoint(piece.b.x), piece.a.y.midpoint(piece.b.y));
    let deep = [piece.a, middle, piece.b].into_iter().filter_map(|p| depth(ground, p)).reduce(deeper);
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

/// How deep a point lies in an opening, if it lies in one.
fn depth(ground: &Ground<'_>, p: Point) -> Option<(u32, Span)> {
    let holds = |i: &usize| {
        let contours = &ground.image.islands[*i].contours;
        contours.iter().filter(|c| encloses(c, p)).count() % 2 == 1
    };
    let opening = ground.boxes.meeting(&Bounds { min: p, max: p }).into_iter().find(holds)?;
    let bounds = ground.image.islands[opening].bounds;
    let reach = bounds.width().max(bounds.height());
    let (_, span) = ground.index.nearest(&[p], reach, |_, e| e.island as usize == opening)?;
    Some((opening as u32, span))
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

/// Openings under a filled area, told by one corner each; where the area's edge crosses them, that edge tells more.
fn buried(ground: &Ground<'_>, ink: &Ink, near: &[usize]) -> Vec<Candidate> {
    if !ink.area {
        return Vec::new();
    }
    let area = EdgeIndex::of_contours(&ink.paths);
    let held = |i: &&usize| area.enclosing(ground.image.islands[**i].contours[0][0]) % 2 == 1;
    near.iter().filter(held).map(|i| under(ground, *i)).collect()
}

/// From the middle of an opening's box to its nearest side.
fn under(ground: &Ground<'_>, opening: usize) -> Candidate {
    let b = ground.image.islands[opening].bounds;
    let middle = (b.min.x.midpoint(b.max.x) as f64, b.min.y.midpoint(b.max.y) as f64);
    let depth = b.width().min(b.height()) as f64 / 2.0;
    let to = if b.width() <= b.height() { (middle.0 + depth, middle.1) } else { (middle.0, middle.1 + depth) };
    let span = Span { length: depth, from: middle, to, run: None };
    Candidate { value: -depth, span, pair: (opening as u32, opening as u32) }
}
