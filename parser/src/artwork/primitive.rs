//! Macro primitives as exact outlines, rotation about the macro origin applied.

use std::f64::consts::SQRT_2;

use super::codes;
use crate::image::{Contour, Edge};
use crate::length::{self, Nm};
use crate::point::Point;
use crate::remark::Code;

/// What is wrong with a primitive: code, what was found, what was expected.
pub type Complaint = (&'static Code, String, String);

/// Where a primitive's outline goes and what is said about it.
pub struct Sketch<'a> {
    /// Nanometres in the file's unit.
    pub unit: f64,
    /// Line of the primitive.
    pub line: u32,
    /// Contours made so far.
    pub contours: Vec<Contour>,
    /// Complaints made so far.
    pub complaints: &'a mut Vec<Complaint>,
    turn: (f64, f64),
    out_of_range: bool,
}

impl<'a> Sketch<'a> {
    pub const fn new(unit: f64, line: u32, complaints: &'a mut Vec<Complaint>) -> Self {
        Self { unit, line, contours: Vec::new(), complaints, turn: (0.0, 1.0), out_of_range: false }
    }

    fn complain(&mut self, code: &'static Code, found: String, expected: &str) {
        self.complaints.push((code, found, expected.to_owned()));
    }

    fn rotate(&mut self, degrees: f64) {
        self.turn = sin_cos(degrees);
    }

    /// A point in the file's unit, turned about the macro origin and rounded once.
    fn point(&mut self, x: f64, y: f64) -> Point {
        let (sin, cos) = self.turn;
        Point::new(self.nm(x * cos - y * sin), self.nm(x * sin + y * cos))
    }

    fn nm(&mut self, value: f64) -> Nm {
        let nm = (value * self.unit).round();
        if nm.abs() <= length::COORDINATE_MAX as f64 {
            return nm as Nm;
        }
        self.out_of_range = true;
        0
    }

    fn polygon(&mut self, corners: &[(f64, f64)]) {
        let Some(((x, y), others)) = corners.split_first() else { return };
        let start = self.point(*x, *y);
        let mut edges: Vec<Edge> = others.iter().map(|(x, y)| Edge::Line { to: self.point(*x, *y) }).collect();
        edges.push(Edge::Line { to: start });
        self.contours.push(Contour { start, edges, line: self.line });
    }

    fn rectangle(&mut self, width: f64, height: f64, x: f64, y: f64) {
        self.polygon(&[(x, y), (x + width, y), (x + width, y + height), (x, y + height)]);
    }

    fn circle(&mut self, x: f64, y: f64, diameter: f64) {
        let centre = self.point(x, y);
        let start = centre.plus(Point::new(self.nm(diameter / 2.0), 0));
        let edges = vec![Edge::Arc { to: start, centre, counter_clockwise: true }];
        self.contours.push(Contour { start, edges, line: self.line });
    }

    /// A ring as one contour: out along the circle, in by a cut, back along the inner circle.
    fn ring(&mut self, x: f64, y: f64, outer: f64, inner: f64) {
        let centre = self.point(x, y);
        let start = centre.plus(Point::new(self.nm(outer / 2.0), 0));
        let inside = centre.plus(Point::new(self.nm(inner / 2.0), 0));
        let edges = vec![
            Edge::Arc { to: start, centre, counter_clockwise: true },
            Edge::Line { to: inside },
            Edge::Arc { to: inside, centre, counter_clockwise: false },
            Edge::Line { to: start },
        ];
        self.contours.push(Contour { start, edges, line: self.line });
    }
}

/// Sine and cosine, exact at whole quarter turns.
pub fn sin_cos(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}

/// How many parameters a primitive takes, exposure included; `None` where it is unknown.
const fn counts(code: u32) -> Option<(usize, usize)> {
    match code {
        1 => Some((4, 5)),
        2 | 20 => Some((7, 7)),
        21 | 22 | 5 | 7 => Some((6, 6)),
        4 => Some((9, usize::MAX)),
        6 => Some((9, 9)),
        _ => None,
    }
}

/// Draws a primitive. `Some(adds)` when something usable was drawn into the sketch.
pub fn draw(sketch: &mut Sketch, code: u32, parameters: &[f64]) -> Option<bool> {
    let Some((least, most)) = counts(code) else {
        sketch.complain(&codes::MACRO_PRIMITIVE, format!("primitive {code}"), "primitive 0, 1, 4, 5, 7, 20 or 21");
        return None;
    };
    if matches!(code, 2 | 6 | 22) {
        sketch.complain(&codes::MACRO_DEPRECATED, format!("primitive {code}, which is deprecated"), "");
    }
    if parameters.len() < least || parameters.len() > most {
        let expected = if least == most { format!("{least}") } else { format!("{least} to {most}") };
        sketch.complain(
            &codes::MACRO_PARAMETERS,
            format!("primitive {code} with {} parameters", parameters.len()),
            &expected,
        );
    }
    // A missing rotation is none; anything else missing leaves nothing to draw.
    let mut padded: Vec<f64>;
    let parameters = if parameters.len().checked_add(1) == Some(least) && code != 1 && code != 4 {
        padded = parameters.to_vec();
        padded.push(0.0);
        &padded
    } else if parameters.len() < least {
        return None;
    } else {
        &parameters[..parameters.len().min(most)]
    };
    let drawn = shape(sketch, code, parameters);
    if sketch.out_of_range {
        sketch.complain(
            &codes::MACRO_VALUE,
            format!("primitive {code} reaches beyond one metre"),
            "a size a board can have",
        );
        return None;
    }
    if !drawn || sketch.contours.is_empty() {
        return None;
    }
    Some(matches!(code, 6 | 7) || exposure(sketch, parameters[0]))
}

fn exposure(sketch: &mut Sketch, value: f64) -> bool {
    if value != 0.0 && value != 1.0 {
        sketch.complain(&codes::MACRO_EXPOSURE, format!("exposure {value}"), "0 or 1");
    }
    value != 0.0
}

fn shape(sketch: &mut Sketch, code: u32, p: &[f64]) -> bool {
    let sizes_ok = |sketch: &mut Sketch, sizes: &[f64]| {
        let negative = sizes.iter().find(|s| **s < 0.0);
        if let Some(size) = negative {
            sketch.complain(&codes::MACRO_VALUE, format!("primitive {code} with size {size}"), "0 or more");
        }
        negative.is_none() && sizes.iter().all(|s| *s > 0.0)
    };
    let rotation = if code == 1 { p.get(4).copied().unwrap_or(0.0) } else { p.last().copied().unwrap_or(0.0) };
    sketch.rotate(rotation);
    match code {
        1 if sizes_ok(sketch, &[p[1]]) => sketch.circle(p[2], p[3], p[1]),
        2 | 20 if sizes_ok(sketch, &[p[1]]) => vector_line(sketch, p[1], (p[2], p[3]), (p[4], p[5])),
        21 if sizes_ok(sketch, &[p[1], p[2]]) => sketch.rectangle(p[1], p[2], p[3] - p[1] / 2.0, p[4] - p[2] / 2.0),
        22 if sizes_ok(sketch, &[p[1], p[2]]) => sketch.rectangle(p[1], p[2], p[3], p[4]),
        4 => return outline(sketch, p),
        5 if sizes_ok(sketch, &[p[4]]) => return regular(sketch, p),
        6 => return moire(sketch, p),
        7 => return thermal(sketch, p),
        _ => return false,
    }
    true
}

fn vector_line(sketch: &mut Sketch, width: f64, from: (f64, f64), to: (f64, f64)) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    if length == 0.0 {
        return;
    }
    let (x, y) = (-dy / length * width / 2.0, dx / length * width / 2.0);
    sketch.polygon(&[(from.0 - x, from.1 - y), (to.0 - x, to.1 - y), (to.0 + x, to.1 + y), (from.0 + x, from.1 + y)]);
}

/// A count that must be whole and in range.
fn count(sketch: &mut Sketch, value: f64, least: f64, most: f64, what: &str) -> Option<usize> {
    if value.fract() == 0.0 && (least..=most).contains(&value) {
        return Some(value as usize);
    }
    sketch.complain(&codes::MACRO_VALUE, format!("{what} {value}"), &format!("a whole number from {least} to {most}"));
    None
}

fn outline(sketch: &mut Sketch, p: &[f64]) -> bool {
    // Each corner takes two parameters, so a count the parameters cannot hold is refused below.
    let Some(n) = count(sketch, p[1], 2.0, 1e9, "outline with corner count") else { return false };
    if n > 5000 {
        sketch.complain(&codes::MACRO_CORNERS, format!("an outline of {n} corners"), "5000 at most");
    }
    let points = n.saturating_add(1);
    let wanted = points.saturating_mul(2).saturating_add(1);
    let given = &p[2..];
    if given.len() != wanted {
        sketch.complain(
            &codes::MACRO_PARAMETERS,
            format!("outline of {n} corners with {} parameters", p.len()),
            &format!("{}", wanted.saturating_add(2)),
        );
    }
    // An odd number of values ends with the rotation; one pair short is a missing last point.
    let has_rotation = given.len() % 2 == 1;
    if !has_rotation {
        sketch.rotate(0.0);
    }
    let pairs = (given.len() / 2).min(points);
    if pairs < 3 {
        return false;
    }
    let mut corners: Vec<(f64, f64)> = given.chunks_exact(2).take(pairs).map(|c| (c[0], c[1])).collect();
    let (Some(&first), Some(&last)) = (corners.first(), corners.last()) else { return false };
    if first == last {
        corners.pop();
    } else {
        let nm = |v: f64| (v * sketch.unit).round();
        if nm(first.0) == nm(last.0) && nm(first.1) == nm(last.1) {
            corners.pop();
        } else {
            sketch.complain(
                &codes::MACRO_OPEN,
                format!("an outline from ({}, {}) to ({}, {})", first.0, first.1, last.0, last.1),
                "the first point again at its end",
            );
        }
    }
    if corners.len() < 3 {
        sketch.complain(&codes::MACRO_VALUE, "an outline of fewer than 3 corners".into(), "3 or more");
        return false;
    }
    sketch.polygon(&corners);
    true
}

fn regular(sketch: &mut Sketch, p: &[f64]) -> bool {
    let Some(n) = count(sketch, p[1], 3.0, 12.0, "polygon with corner count") else { return false };
    let radius = p[4] / 2.0;
    let corners: Vec<(f64, f64)> = (0..n)
        .map(|i| {
            let (sin, cos) = sin_cos(360.0 * i as f64 / n as f64);
            (p[2] + radius * cos, p[3] + radius * sin)
        })
        .collect();
    sketch.polygon(&corners);
    true
}

/// Rings that shrink inwards and a cross over them.
fn moire(sketch: &mut Sketch, p: &[f64]) -> bool {
    let (x, y, outer, ring, gap) = (p[0], p[1], p[2], p[3], p[4]);
    if [outer, ring, gap, p[6], p[7]].iter().any(|v| *v < 0.0) {
        sketch.complain(&codes::MACRO_VALUE, "a moiré with a negative size".into(), "0 or more");
        return false;
    }
    let Some(most) = count(sketch, p[5], 0.0, 1000.0, "moiré with ring count") else { return false };
    for i in 0..if ring > 0.0 { most } else { 0 } {
        let diameter = outer - 2.0 * i as f64 * (ring + gap);
        let inner = diameter - 2.0 * ring;
        // Half a millionth of the outer diameter is rounding, not a ring.
        if diameter <= outer * 5e-7 {
            break;
        } else if inner <= outer * 5e-7 {
            sketch.circle(x, y, diameter);
            break;
        }
        sketch.ring(x, y, diameter, inner);
    }
    let (thick, long) = (p[6], p[7]);
    if thick > 0.0 && long > 0.0 {
        sketch.rectangle(long, thick, x - long / 2.0, y - thick / 2.0);
        sketch.rectangle(thick, long, x - thick / 2.0, y - long / 2.0);
    }
    true
}

/// A ring cut by a cross of gaps: four pieces, each with its true arcs.
fn thermal(sketch: &mut Sketch, p: &[f64]) -> bool {
    let (x, y, outer, inner, gap) = (p[0], p[1], p[2], p[3], p[4]);
    if !(inner >= 0.0 && outer > inner && gap >= 0.0) {
        sketch.complain(
            &codes::MACRO_VALUE,
            format!("a thermal with diameters {outer} and {inner}, gap {gap}"),
            "outer over inner, none negative",
        );
        return false;
    }
    if gap * SQRT_2 >= outer {
        sketch.complain(
            &codes::MACRO_VALUE,
            format!("a thermal with gap {gap}, which leaves nothing of diameter {outer}"),
            "a gap below outer diameter ÷ √2",
        );
        return false;
    }
    if gap == 0.0 {
        if inner == 0.0 {
            sketch.circle(x, y, outer)
        } else {
            sketch.ring(x, y, outer, inner)
        }
        return true;
    }
    let rotation = p[5];
    for quarter in 0..4 {
        thermal_piece(sketch, (x, y), (outer / 2.0, inner / 2.0, gap / 2.0), (rotation, f64::from(quarter) * 90.0));
    }
    true
}

/// The piece in one quarter, counter-clockwise: along the outer arc and back along the inner one.
fn thermal_piece(
    sketch: &mut Sketch,
    (x, y): (f64, f64),
    (outer, inner, half): (f64, f64, f64),
    (rotation, quarter): (f64, f64),
) {
    sketch.rotate(rotation);
    let centre = sketch.point(x, y);
    // Rotation about the macro origin, after a turn by whole quarters about the thermal's own centre.
    let (sin, cos) = sin_cos(quarter);
    let mut at = |u: f64, v: f64| sketch.point(x + u * cos - v * sin, y + u * sin + v * cos);
    let far = (outer * outer - half * half).sqrt();
    let (start, end) = (at(far, half), at(half, far));
    let mut edges = vec![Edge::Arc { to: end, centre, counter_clockwise: true }];
    if inner <= half * SQRT_2 {
        edges.push(Edge::Line { to: at(half, half) });
    } else {
        let near = (inner * inner - half * half).sqrt();
        edges.push(Edge::Line { to: at(half, near) });
        edges.push(Edge::Arc { to: at(near, half), centre, counter_clockwise: false });
    }
    edges.push(Edge::Line { to: start });
    let line = sketch.line;
    sketch.contours.push(Contour { start, edges, line });
}
