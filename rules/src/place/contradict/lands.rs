//! Lands stated to have a hole, and none there.

use landgap_parser::drill::HitShape;
use landgap_parser::{Aperture, ApertureShape, Image, Nm, Polarity, Shape};

use super::{Noted, codes};
use crate::board::{Board, Hole};
use crate::geometry::{Bounds, BoxIndex};

/// Pad functions that speak of a hole (Gerber layer format 5.6.10).
const WITH_HOLE: [&str; 2] = ["ViaPad", "ComponentPad"];

/// A hole this near the middle of a land is its own, whatever the land's size.
const NEAR: Nm = 50_000;

pub(super) fn check(board: &Board, noted: &mut Noted) {
    // Without holes the drill data are asked for as a whole.
    if board.holes.is_empty() {
        return;
    }
    let axes = BoxIndex::new(board.holes.iter().map(span).collect());
    for layer in &board.copper {
        let Some(image) = board.images[layer.file as usize].as_ref() else { continue };
        for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let Shape::Flash { aperture, at, .. } = object.shape else { continue };
            let Some(function) = image.attribute(object, ".AperFunction").and_then(<[String]>::first) else { continue };
            if !WITH_HOLE.contains(&function.as_str()) {
                continue;
            }
            if axes.meets(&Bounds { min: at, max: at }.grown(reach(image, aperture))) {
                continue;
            }
            let found = format!("a {function} at x {:.3} y {:.3} mm", at.x as f64 / 1e6, at.y as f64 / 1e6);
            noted.add(layer.file as usize, object.line, &codes::LAND_WITHOUT_HOLE, found, "a hole in it");
        }
    }
}

/// The box of a hole's axis.
fn span(hole: &Hole) -> Bounds {
    let mut points = vec![hole.at()];
    match &hole.shape {
        HitShape::Hole { .. } => {}
        HitShape::Slot { to, .. } => points.push(*to),
        HitShape::Route { edges, .. } => points.extend(edges.iter().map(landgap_parser::Edge::to)),
    }
    Bounds::of(&points)
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
