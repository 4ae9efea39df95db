//! Score lines: straight lines from edge to edge, along which the board is scored and broken.

use std::f64::consts::PI;

use landgap_parser::{ApertureShape, Image, Nm, Point, Polarity, Shape};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, Part, Role, Source};
use crate::geometry::distance::{Segment, float, orientation, round};
use crate::geometry::outline::Edge;

/// Shorter strokes are lettering.
const SHORTEST: f64 = 1_000_000.0;
/// A line ends at most this far from the edge.
const TO_EDGE: f64 = 500_000.0;
/// Strokes whose middle lines lie no further apart are one line.
const IN_LINE: f64 = 20_000.0;
/// Shorter ways through material are notches.
const CROSSED: f64 = 3_000_000.0;
/// Material must lie so far to both sides.
const ASIDE: f64 = 100_000.0;
/// A broader pen draws a cut rather than a line.
const PEN: Nm = 500_000;
/// A file of its own consists of score lines by at least this share of its length.
const OWN: f64 = 0.5;
/// More straight lines than this in one file are a drawing.
const MOST: usize = 2_000;

/// A straight stroke on its line: direction, distance of the line from the origin, and both ends along it.
struct Stroke {
    angle: f64,
    off: f64,
    span: (f64, f64),
    pen: Nm,
    line: u32,
}

/// One feature a line; collinear lines across a gap are one. The size is its length in material, its parts are
/// the pieces in material; settled where the data name it, or its pen is fine.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let Some(edge) = ground.edge else { return Vec::new() };
    let mut found: Vec<Feature> = Vec::new();
    for (number, (file, image)) in (0u32..).zip(board.files.iter().zip(&board.images)) {
        let Some(image) = image else { continue };
        let named = image.file_attribute(".FileFunction").and_then(|v| v.first()).is_some_and(|f| f == "Vcut");
        if named || matches!(file.role, Role::Outline | Role::Other | Role::Unclear) {
            found.extend(in_file(image, number, named, file.role == Role::Outline, edge));
        }
    }
    // Two files may give the same line.
    found.sort_by_key(|f| (f.between, !f.settled));
    found.dedup_by(|b, a| twins(a, b));
    found
}

fn twins(a: &Feature, b: &Feature) -> bool {
    let near = |p: Point, q: Point| p.distance(q) <= IN_LINE;
    matches!((a.between, b.between), (Some((p, q)), Some((r, s))) if near(p, r) && near(q, s))
}

fn in_file(image: &Image, file: u32, named: bool, outline: bool, edge: &Edge) -> Vec<Feature> {
    let mut strokes: Vec<Stroke> = image.objects.iter().filter_map(|o| straight(image, o)).collect();
    if strokes.len() > MOST {
        return Vec::new();
    }
    let drawn: f64 = strokes.iter().map(|s| s.span.1 - s.span.0).sum();
    strokes.sort_by(|a, b| a.angle.total_cmp(&b.angle).then(a.off.total_cmp(&b.off)));
    let one = |a: &Stroke, b: &Stroke| (a.angle - b.angle).abs() < 1e-4 && (a.off - b.off).abs() <= IN_LINE;
    let lines = strokes.chunk_by(one).filter_map(|line| score(line, file, named, edge));
    let found: Vec<Feature> = lines.collect();
    let scored: f64 = found.iter().filter_map(|f| f.size).map(|s| s as f64).sum();
    if named || outline || scored >= drawn * OWN { found } else { Vec::new() }
}

fn straight(image: &Image, object: &landgap_parser::Object) -> Option<Stroke> {
    let Shape::Draw { aperture, from, to, .. } = object.shape else { return None };
    if object.polarity == Polarity::Clear || from.distance(to) < SHORTEST {
        return None;
    }
    let pen = match image.apertures.get(aperture as usize)?.shape {
        ApertureShape::Circle { diameter, .. } => diameter,
        _ => 0,
    };
    // Directions from just below level up to just below level again, so that no level line is split in two.
    let angle = (((to.y - from.y) as f64).atan2((to.x - from.x) as f64) + 1e-3).rem_euclid(PI) - 1e-3;
    let (sin, cos) = angle.sin_cos();
    let along = |p: Point| p.x as f64 * cos + p.y as f64 * sin;
    let (a, b) = (along(from), along(to));
    let off = from.y as f64 * cos - from.x as f64 * sin;
    Some(Stroke { angle, off, span: (a.min(b), a.max(b)), pen, line: object.line })
}

/// A line of strokes, if it crosses material from edge to edge.
fn score(line: &[Stroke], file: u32, named: bool, edge: &Edge) -> Option<Feature> {
    let (sin, cos) = line[0].angle.sin_cos();
    let off = line[0].off;
    let at = |along: f64, aside: f64| round((along * cos - (off + aside) * sin, along * sin + (off + aside) * cos));
    let ways = material(edge, &at, line);
    let crossed: Vec<(f64, f64)> = ways.into_iter().filter(|way| covered(line, *way)).collect();
    let (first, last) = (crossed.first()?.0, crossed.last()?.1);
    let pen = line.iter().map(|s| s.pen).max().unwrap_or(0);
    let mut feature = Feature::new(FeatureKind::ScoreLine, None, at((first + last) / 2.0, 0.0)).because(match named {
        true => "its file carries the function Vcut, and it runs straight from edge to edge",
        false => "a straight line runs from edge to edge through material",
    });
    if crossed.len() > 1 {
        feature = feature.because("pieces in line on both sides of a gap are one line");
    }
    feature.settled = named || pen <= PEN;
    feature.size = Some(crossed.iter().map(|w| w.1 - w.0).sum::<f64>().round() as Nm);
    feature.between = Some((at(first, 0.0), at(last, 0.0)));
    feature.parts = crossed.iter().map(|w| Part { from: at(w.0, 0.0), to: at(w.1, 0.0), width: 0 }).collect();
    feature.sources = line.iter().map(|s| Source { file, line: s.line }).collect();
    Some(feature)
}

/// Stretches of a line that run through material, with material to both sides.
fn material(edge: &Edge, at: &impl Fn(f64, f64) -> Point, line: &[Stroke]) -> Vec<(f64, f64)> {
    let low = line.iter().map(|s| s.span.0).fold(f64::INFINITY, f64::min) - TO_EDGE;
    let high = line.iter().map(|s| s.span.1).fold(f64::NEG_INFINITY, f64::max) + TO_EDGE;
    let (a, b) = (at(low, 0.0), at(high, 0.0));
    let way = Segment { a, b };
    let mut cuts = vec![low, high];
    let bounds = crate::geometry::Bounds::of(&[a, b]);
    edge.index.near(bounds, |i| {
        let side = edge.index.edges()[i].segment;
        let (p, q) = (orientation(way.a, way.b, side.a), orientation(way.a, way.b, side.b));
        if (p > 0) != (q > 0) {
            let part = p as f64 / (p - q) as f64;
            let (u, v) = (float(side.a), float(side.b));
            let (x, y) = (u.0 + part * (v.0 - u.0) - a.x as f64, u.1 + part * (v.1 - u.1) - a.y as f64);
            let along = x * (b.x - a.x) as f64 + y * (b.y - a.y) as f64;
            cuts.push(low + along / a.distance(b).max(1.0));
        }
    });
    cuts.sort_by(f64::total_cmp);
    let inside = |w: &[f64]| {
        let middle = f64::midpoint(w[0], w[1]);
        w[1] - w[0] >= CROSSED && edge.holds(at(middle, ASIDE)) && edge.holds(at(middle, -ASIDE))
    };
    // The ends of the search are no edges.
    let real = |w: &[f64]| w[0] > low && w[1] < high;
    cuts.windows(2).filter(|w| inside(w) && real(w)).map(|w| (w[0], w[1])).collect()
}

/// Whether strokes lie over a stretch from end to end, with gaps no wider than their distance from the edge may be.
fn covered(line: &[Stroke], (from, to): (f64, f64)) -> bool {
    let mut spans: Vec<(f64, f64)> = line.iter().map(|s| s.span).collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut reached = from;
    for (start, end) in spans {
        if start > reached + TO_EDGE {
            break;
        }
        reached = reached.max(end);
    }
    reached >= to - TO_EDGE
}
