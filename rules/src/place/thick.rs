//! Which side of a thick outline is the edge: its middle, by the house rule.

use landgap_parser::{ApertureShape, Contour, Nm, Shape};

use super::extent;
use crate::board::Board;

/// Lines up to this width leave no doubt of the edge (common practice, no source).
const THIN: Nm = 150_000;

/// The three sizes a thick line can mean; thin lines never matter.
pub(super) fn sizes(outer: Option<&Contour>, pen: Nm) -> Option<String> {
    let middle = extent::of_contour(outer?).filter(|_| pen > THIN)?;
    let [inside, outside] = [-pen / 2, pen / 2].map(|by| middle.grown(by).words());
    Some(format!(
        "the middle of the line is the edge (common practice, no source); the line is {} mm wide, so the board is {} at its middle, {inside} at its inner and {outside} at its outer side",
        extent::mm(pen),
        middle.words()
    ))
}

/// The width of the pen that begins a contour; 0 for filled areas.
pub(super) fn pen(board: &Board, file: usize, outer: Option<&Contour>) -> Nm {
    let (Some(image), Some(outer)) = (board.images[file].as_ref(), outer) else { return 0 };
    let drawn = image.objects.iter().filter(|o| o.line == outer.line).find_map(|o| match o.shape {
        Shape::Draw { aperture, .. } | Shape::Arc { aperture, .. } => image.apertures.get(aperture as usize),
        _ => None,
    });
    match drawn.map(|a| &a.shape) {
        Some(ApertureShape::Circle { diameter, .. }) => *diameter,
        Some(ApertureShape::Rectangle { width, height, .. }) => *width.max(height),
        _ => 0,
    }
}
