//! Arcs into chords, with a stated tolerance.
//!
//! Inner corners of a flattened arc lie half the tolerance outside the true circle and the middles
//! of its chords half the tolerance inside, so that a distance errs by at most [`FLATTENING`] either
//! way and areas do not shrink. Ends of an arc stay on the points the file names, and the chords
//! next to them are half as long, because they start on the true circle.

use std::f64::consts::TAU;

use landgap_parser::{Contour, Edge, Nm, Point};

/// How far a flattened curve lies from the true one at most.
pub const FLATTENING: Nm = 200;

/// Chords for `sweep` radians on a circle of `radius`, and the factor for inner corners.
fn chords(radius: f64, sweep: f64) -> (usize, f64) {
    let tolerance = FLATTENING as f64;
    if radius <= 4.0 * tolerance {
        return (((sweep.abs() / TAU) * 8.0).ceil().max(1.0) as usize, 1.0);
    }
    let outer = radius + tolerance;
    let half = ((radius - tolerance) / outer).acos();
    let count = (sweep.abs() / (2.0 * half)).ceil().max(1.0);
    // With more chords than the bound needs, inner corners move in so that both errors stay equal.
    let step = (sweep.abs() / count / 2.0).cos();
    (count as usize, 2.0 / (1.0 + step))
}

fn round(x: f64, y: f64) -> Point {
    Point::new(x.round() as Nm, y.round() as Nm)
}

/// A circle as a counter-clockwise polygon.
#[must_use]
pub fn circle(centre: Point, radius: f64) -> Vec<Point> {
    let (count, factor) = chords(radius, TAU);
    let count = count.max(8).div_ceil(4) * 4;
    (0..count)
        .map(|i| {
            let (sin, cos) = (TAU * i as f64 / count as f64).sin_cos();
            round(centre.x as f64 + radius * factor * cos, centre.y as f64 + radius * factor * sin)
        })
        .collect()
}

/// Signed sweep of an arc in radians; a full turn where both ends are one point.
#[must_use]
pub fn sweep(from: Point, to: Point, centre: Point, counter_clockwise: bool) -> f64 {
    let angle = |p: Point| ((p.y - centre.y) as f64).atan2((p.x - centre.x) as f64);
    let full = if counter_clockwise { TAU } else { -TAU };
    if from == to {
        return full;
    }
    let turned = angle(to) - angle(from);
    if counter_clockwise && turned <= 0.0 {
        turned + TAU
    } else if !counter_clockwise && turned >= 0.0 {
        turned - TAU
    } else {
        turned
    }
}

/// Corners of an arc after its start: inner ones, then its end exactly.
///
/// Where the two radii differ, the radius runs evenly from one to the other.
pub fn push_arc(out: &mut Vec<Point>, from: Point, to: Point, centre: Point, counter_clockwise: bool) {
    let start_radius = from.distance(centre);
    let end_radius = to.distance(centre);
    let turn = sweep(from, to, centre, counter_clockwise);
    let (count, factor) = chords(start_radius.max(end_radius), turn);
    let start = ((from.y - centre.y) as f64).atan2((from.x - centre.x) as f64);
    for i in 0..count {
        let part = (i as f64 + 0.5) / count as f64;
        let radius = (start_radius + (end_radius - start_radius) * part) * factor;
        let (sin, cos) = (start + turn * part).sin_cos();
        out.push(round(centre.x as f64 + radius * cos, centre.y as f64 + radius * sin));
    }
    out.push(to);
}

/// A contour as corner points, without repeating the first.
#[must_use]
pub fn contour(contour: &Contour) -> Vec<Point> {
    let mut points = path(contour.start, &contour.edges);
    if points.len() > 1 && points.last() == points.first() {
        points.pop();
    }
    points
}

/// A path as corner points, both ends included.
#[must_use]
pub fn path(start: Point, edges: &[Edge]) -> Vec<Point> {
    let mut points = vec![start];
    let mut at = start;
    for edge in edges {
        match *edge {
            Edge::Line { to } => points.push(to),
            Edge::Arc { to, centre, counter_clockwise } => push_arc(&mut points, at, to, centre, counter_clockwise),
        }
        at = edge.to();
    }
    points.dedup();
    points
}

/// A round pen drawn along a straight line, as a counter-clockwise polygon.
#[must_use]
pub fn capsule(from: Point, to: Point, radius: f64) -> Vec<Point> {
    if from == to {
        return circle(from, radius);
    }
    let mut points = Vec::new();
    half_round(&mut points, from, to, radius);
    half_round(&mut points, to, from, radius);
    points
}

/// The round end at `end` of a stroke that comes from `other`, counter-clockwise.
fn half_round(out: &mut Vec<Point>, other: Point, end: Point, radius: f64) {
    let along = ((end.y - other.y) as f64).atan2((end.x - other.x) as f64);
    fan(out, end, along - TAU / 4.0, TAU / 2.0, radius);
}

/// Corners round `centre` from `start` over `turn`, both ends on the true radius.
pub fn fan(out: &mut Vec<Point>, centre: Point, start: f64, turn: f64, radius: f64) {
    let (count, factor) = chords(radius, turn);
    let mut push = |part: f64, reach: f64| {
        let (sin, cos) = (start + turn * part).sin_cos();
        out.push(round(centre.x as f64 + reach * cos, centre.y as f64 + reach * sin));
    };
    push(0.0, radius);
    (0..count).for_each(|i| push((i as f64 + 0.5) / count as f64, radius * factor));
    push(1.0, radius);
}
