//! Lands stated to have a hole, and none there.

use landgap_parser::drill::HitShape;
use landgap_parser::{Aperture, ApertureShape, Image, Nm, Point, Polarity, Shape};

use super::{Noted, codes};
use crate::board::{Board, Hole};

/// Pad functions that speak of a hole (Gerber layer format 5.6.10).
const WITH_HOLE: [&str; 2] = ["ViaPad", "ComponentPad"];

/// A hole this near the middle of a land is its own, whatever the land's size.
const NEAR: Nm = 50_000;

/// Axes looked at before the search is given up; boards stay far below it, hostile data may not.
const MOST_STEPS: usize = 200_000_000;

pub(super) fn check(board: &Board, noted: &mut Noted) {
    // Without holes the drill data are asked for as a whole.
    if board.holes.is_empty() {
        return;
    }
    let mut axes: Vec<(Point, Point)> = board.holes.iter().map(span).collect();
    axes.sort_unstable();
    axes.dedup();
    let mut steps = 0;
    let longest = axes.iter().map(|(low, high)| high.x - low.x).max().unwrap_or(0);
    for layer in &board.copper {
        let Some(image) = board.images[layer.file as usize].as_ref() else { continue };
        for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let Shape::Flash { aperture, at, .. } = object.shape else { continue };
            let Some(function) = image.attribute(object, ".AperFunction").and_then(<[String]>::first) else { continue };
            if !WITH_HOLE.contains(&function.as_str()) {
                continue;
            }
            if steps > MOST_STEPS {
                return;
            }
            if has_hole(&axes, at, reach(image, aperture), longest, &mut steps) {
                continue;
            }
            let found = format!("a {function} at x {:.3} y {:.3} mm", at.x as f64 / 1e6, at.y as f64 / 1e6);
            noted.add(layer.file as usize, object.line, &codes::LAND_WITHOUT_HOLE, found, "a hole in it");
        }
    }
}

/// The box of a hole's axis.
fn span(hole: &Hole) -> (Point, Point) {
    let mut points = vec![hole.at()];
    match &hole.shape {
        HitShape::Hole { .. } => {}
        HitShape::Slot { to, .. } => points.push(*to),
        HitShape::Route { edges, .. } => points.extend(edges.iter().map(landgap_parser::Edge::to)),
    }
    let low = Point::new(least(&points, |p| p.x), least(&points, |p| p.y));
    (low, Point::new(-least(&points, |p| -p.x), -least(&points, |p| -p.y)))
}

fn least(points: &[Point], of: impl Fn(&Point) -> Nm) -> Nm {
    points.iter().map(of).min().unwrap_or(0)
}

/// Half the largest extent of an aperture.
fn reach(image: &Image, aperture: u32) -> Nm {
    let extent = |a: &Aperture| match &a.shape {
        ApertureShape::Circle { diameter, .. } | ApertureShape::Polygon { diameter, .. } => *diameter,
        ApertureShape::Rectangle { width, height, .. } | ApertureShape::Obround { width, height, .. } => {
            *width.max(height)
        }
        ApertureShape::Macro { parts } => {
            let contours = parts.iter().flat_map(|p| &p.contours);
            let points = contours.flat_map(|c| std::iter::once(c.start).chain(c.edges.iter().map(|e| e.to())));
            2 * points.map(|p| p.x.abs().max(p.y.abs())).max().unwrap_or(0)
        }
        ApertureShape::Unusable => 0,
    };
    image.apertures.get(aperture as usize).map_or(0, |a| extent(a) / 2).max(NEAR)
}

/// Whether the box of an axis lies within reach of a point; counts the axes looked at.
fn has_hole(axes: &[(Point, Point)], at: Point, reach: Nm, longest: Nm, steps: &mut usize) -> bool {
    let first = axes.partition_point(|(low, _)| low.x < at.x - reach - longest);
    let mut near = axes[first..].iter().take_while(|(low, _)| low.x <= at.x + reach).inspect(|_| *steps += 1);
    near.any(|(low, high)| high.x >= at.x - reach && low.y <= at.y + reach && high.y >= at.y - reach)
}
