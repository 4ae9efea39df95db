//! Objects of an image as positively wound contours.

use landgap_parser::image::Hole;
use landgap_parser::{Aperture, ApertureShape, Contour, Image, MacroPart, Nm, Object, Point, Shape, Turn};

use super::engine::{self, Polygon};
use super::flatten;
use super::strokes::Stroke;

/// Contours of one object: outer ones counter-clockwise, holes clockwise. Empty where it draws nothing.
#[must_use]
pub fn contours(image: &Image, object: &Object) -> Vec<Vec<Point>> {
    match &object.shape {
        Shape::Flash { aperture, at, turn } => flash(image.apertures.get(*aperture as usize), *at, *turn),
        Shape::Draw { aperture, from, to, turn } => draw(image.apertures.get(*aperture as usize), *from, *to, *turn),
        Shape::Arc { aperture, arc, turn } => {
            let centre_line = flatten::path(
                arc.from,
                &[landgap_parser::Edge::Arc {
                    to: arc.to,
                    centre: arc.centre,
                    counter_clockwise: arc.counter_clockwise,
                }],
            );
            arc_stroke(image.apertures.get(*aperture as usize), arc, &centre_line, *turn)
        }
        Shape::Region { contours, offset } => region(contours, *offset),
    }
}

/// The ends of the centre line and the radius of an object that a plain round pen draws along a
/// straight line, or sets down: both ends are one then. `None` where it draws nothing.
#[must_use]
pub fn round(image: &Image, object: &Object) -> Option<(Point, Point, f64)> {
    let (aperture, from, to, turn) = match object.shape {
        Shape::Draw { aperture, from, to, turn } => (aperture, from, to, turn),
        Shape::Flash { aperture, at, turn } => (aperture, at, at, turn),
        Shape::Arc { .. } | Shape::Region { .. } => return None,
    };
    let ApertureShape::Circle { diameter, hole: Hole::None } = image.apertures.get(aperture as usize)?.shape else {
        return None;
    };
    let radius = diameter as f64 * turn.scale / 2.0;
    (radius >= 0.5).then_some((from, to, radius))
}

/// The object as a stroke of a plain round pen, if it is one that draws anything.
#[must_use]
pub fn stroke(image: &Image, object: &Object, number: usize, pass: u32) -> Option<Stroke> {
    let Shape::Draw { .. } = object.shape else { return None };
    round(image, object).map(|(from, to, radius)| Stroke { from, to, radius, number, pass })
}

/// Where a flash of a plain disc, rectangle or obround is set down, and the radius of the disc about
/// that point it covers whole.
#[must_use]
pub fn inner_disc(image: &Image, object: &Object) -> Option<(Point, f64)> {
    let Shape::Flash { aperture, at, turn } = object.shape else { return None };
    let least = match image.apertures.get(aperture as usize)?.shape {
        ApertureShape::Circle { diameter, hole: Hole::None } => diameter,
        ApertureShape::Rectangle { width, height, hole: Hole::None }
        | ApertureShape::Obround { width, height, hole: Hole::None } => width.min(height),
        _ => return None,
    };
    Some((at, least as f64 * turn.scale / 2.0))
}

fn region(contours: &[Contour], offset: Point) -> Vec<Vec<Point>> {
    let moved = |p: Point| Point::new(p.x + offset.x, p.y + offset.y);
    let mut out = Vec::new();
    for contour in contours {
        let points: Vec<Point> = flatten::contour(contour).into_iter().map(moved).collect();
        out.extend(tidy(vec![points]));
    }
    out
}

/// Contours of unknown winding made positive; crossings resolved by non-zero winding.
fn tidy(contours: Vec<Vec<Point>>) -> Vec<Vec<Point>> {
    engine::union(&contours).into_iter().flatten().collect()
}

fn flash(aperture: Option<&Aperture>, at: Point, turn: Turn) -> Vec<Vec<Point>> {
    let Some(aperture) = aperture else { return Vec::new() };
    let outline = aperture_contours(&aperture.shape, turn);
    outline.into_iter().map(|c| c.into_iter().map(|p| Point::new(p.x + at.x, p.y + at.y)).collect()).collect()
}

/// An aperture about its own origin, turned.
fn aperture_contours(shape: &ApertureShape, turn: Turn) -> Vec<Vec<Point>> {
    match shape {
        ApertureShape::Circle { diameter, hole } => {
            let radius = *diameter as f64 * turn.scale / 2.0;
            if radius < 0.5 {
                return Vec::new();
            }
            with_hole(flatten::circle(Point::default(), radius), *hole, turn)
        }
        ApertureShape::Rectangle { width, height, hole } => {
            with_hole(turned(&rectangle(*width, *height), turn), *hole, turn)
        }
        ApertureShape::Obround { width, height, hole } => with_hole(obround(*width, *height, turn), *hole, turn),
        ApertureShape::Polygon { diameter, corners, degrees, hole } => {
            let points = polygon_points(*diameter, *corners, *degrees);
            with_hole(turned(&points, turn), *hole, turn)
        }
        ApertureShape::Macro { parts } => turned_all(macro_shape(parts), turn),
        ApertureShape::Unusable => Vec::new(),
    }
}

fn rectangle(width: Nm, height: Nm) -> Vec<(f64, f64)> {
    let (x, y) = (width as f64 / 2.0, height as f64 / 2.0);
    vec![(-x, -y), (x, -y), (x, y), (-x, y)]
}

fn polygon_points(diameter: Nm, corners: u32, degrees: f64) -> Vec<(f64, f64)> {
    let radius = diameter as f64 / 2.0;
    (0..corners)
        .map(|i| {
            let (sin, cos) = (degrees + 360.0 * f64::from(i) / f64::from(corners)).to_radians().sin_cos();
            (radius * cos, radius * sin)
        })
        .collect()
}

fn obround(width: Nm, height: Nm, turn: Turn) -> Vec<Point> {
    let radius = width.min(height) as f64 / 2.0;
    let (x, y) = (width as f64 / 2.0 - radius, height as f64 / 2.0 - radius);
    let ends = turned(&[(-x, -y), (x, y)], turn);
    flatten::capsule(ends[0], ends[1], radius * turn.scale)
}

fn with_hole(mut outer: Vec<Point>, hole: Hole, turn: Turn) -> Vec<Vec<Point>> {
    if engine::doubled_area(&outer) < 0 {
        outer.reverse();
    }
    let inner = match hole {
        Hole::None => return vec![outer],
        Hole::Round(diameter) if diameter <= 0 => return vec![outer],
        Hole::Round(diameter) => flatten::circle(Point::default(), diameter as f64 * turn.scale / 2.0),
        // A rectangular hole never turned with its aperture (the clause that deprecates it says so).
        Hole::Rectangular(width, height) => {
            let kept = Turn { scale: turn.scale, ..Turn::NONE };
            turned(&rectangle(width, height), kept)
        }
    };
    engine::difference(&[outer], &[inner]).into_iter().flatten().collect()
}

fn turn_point((x, y): (f64, f64), turn: Turn) -> (f64, f64) {
    let x = if turn.mirror_x { -x } else { x } * turn.scale;
    let y = if turn.mirror_y { -y } else { y } * turn.scale;
    let (sin, cos) = exact_sin_cos(turn.degrees);
    (x * cos - y * sin, x * sin + y * cos)
}

/// Sine and cosine, exact at whole quarter turns.
#[must_use]
pub fn exact_sin_cos(degrees: f64) -> (f64, f64) {
    match degrees.rem_euclid(360.0) {
        0.0 => (0.0, 1.0),
        90.0 => (1.0, 0.0),
        180.0 => (0.0, -1.0),
        270.0 => (-1.0, 0.0),
        other => other.to_radians().sin_cos(),
    }
}

fn turned(points: &[(f64, f64)], turn: Turn) -> Vec<Point> {
    points.iter().map(|p| super::distance::round(turn_point(*p, turn))).collect()
}

fn turned_all(polygons: Vec<Vec<Point>>, turn: Turn) -> Vec<Vec<Point>> {
    if turn.is_none() {
        return polygons;
    }
    let flips = turn.mirror_x != turn.mirror_y;
    polygons
        .into_iter()
        .map(|contour| {
            let floats: Vec<_> = contour.iter().map(|p| (p.x as f64, p.y as f64)).collect();
            let mut points = turned(&floats, turn);
            if flips {
                points.reverse();
            }
            points
        })
        .collect()
}

/// A macro's parts flattened to one shape about its origin.
fn macro_shape(parts: &[MacroPart]) -> Vec<Vec<Point>> {
    let mut made: Vec<Vec<Point>> = Vec::new();
    let mut settled = true;
    for part in parts {
        let contours: Vec<Vec<Point>> = part.contours.iter().map(flatten::contour).collect();
        if part.adds {
            made.extend(positive(contours));
            settled = parts.len() == 1;
        } else {
            let subject = if settled { made } else { tidy(made) };
            made = flat(engine::difference(&subject, &contours));
            settled = true;
        }
    }
    tidy(made)
}

fn flat(polygons: Vec<Polygon>) -> Vec<Vec<Point>> {
    polygons.into_iter().flatten().collect()
}

fn positive(contours: Vec<Vec<Point>>) -> Vec<Vec<Point>> {
    contours.into_iter().flat_map(|c| tidy(vec![c])).collect()
}

fn draw(aperture: Option<&Aperture>, from: Point, to: Point, turn: Turn) -> Vec<Vec<Point>> {
    let Some(aperture) = aperture else { return Vec::new() };
    if let ApertureShape::Circle { diameter, hole: Hole::None } = aperture.shape {
        let radius = diameter as f64 * turn.scale / 2.0;
        return if radius < 0.5 { Vec::new() } else { vec![flatten::capsule(from, to, radius)] };
    }
    swept(&aperture_contours(&aperture.shape, turn), &[from, to])
}

/// A pen that is not a disc: the hull of the pen at both ends of each straight piece.
fn swept(pen: &[Vec<Point>], path: &[Point]) -> Vec<Vec<Point>> {
    let Some(outer) = pen.first() else { return Vec::new() };
    path.windows(2)
        .map(|w| {
            let at = |end: Point| outer.iter().map(move |p| Point::new(p.x + end.x, p.y + end.y));
            hull(at(w[0]).chain(at(w[1])).collect())
        })
        .filter(|h| h.len() > 2)
        .collect()
}

/// Convex hull, counter-clockwise.
#[must_use]
pub fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_unstable();
    points.dedup();
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut out: Vec<Point> = Vec::new();
        for p in points {
            while out.len() > 1 && super::distance::orientation(out[out.len() - 2], out[out.len() - 1], p) <= 0 {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut lower = chain(&mut points.iter().copied());
    lower.extend(chain(&mut points.iter().rev().copied()));
    lower
}

fn arc_stroke(
    aperture: Option<&Aperture>,
    arc: &landgap_parser::Arc,
    centre_line: &[Point],
    turn: Turn,
) -> Vec<Vec<Point>> {
    let Some(aperture) = aperture else { return Vec::new() };
    let ApertureShape::Circle { diameter, hole: Hole::None } = aperture.shape else {
        return swept(&aperture_contours(&aperture.shape, turn), centre_line);
    };
    let half = diameter as f64 * turn.scale / 2.0;
    if half < 0.5 {
        return Vec::new();
    }
    let (start_radius, end_radius) = (arc.from.distance(arc.centre), arc.to.distance(arc.centre));
    let round = (start_radius - end_radius).abs() < 2.0 * flatten::FLATTENING as f64;
    if !round || start_radius <= half * 1.01 {
        return centre_line.windows(2).map(|w| flatten::capsule(w[0], w[1], half)).collect();
    }
    if arc.from == arc.to {
        let mut inner = flatten::circle(arc.centre, start_radius - half);
        inner.reverse();
        return vec![flatten::circle(arc.centre, start_radius + half), inner];
    }
    vec![banana(arc, start_radius, half)]
}

/// A round pen drawn along part of a circle, as one counter-clockwise contour.
fn banana(arc: &landgap_parser::Arc, radius: f64, half: f64) -> Vec<Point> {
    let (from, to) = if arc.counter_clockwise { (arc.from, arc.to) } else { (arc.to, arc.from) };
    let angle = |p: Point| ((p.y - arc.centre.y) as f64).atan2((p.x - arc.centre.x) as f64);
    let turn = flatten::sweep(from, to, arc.centre, true);
    let (start, end) = (angle(from), angle(from) + turn);
    let half_turn = std::f64::consts::PI;
    let mut points = Vec::new();
    flatten::fan(&mut points, arc.centre, start, turn, radius + half);
    flatten::fan(&mut points, to, end, half_turn, half);
    flatten::fan(&mut points, arc.centre, end, -turn, radius - half);
    flatten::fan(&mut points, from, start + half_turn, half_turn, half);
    points
}
