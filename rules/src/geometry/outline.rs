//! The board's edge as polygons, and what lies inside it.

use landgap_parser::Point;

use super::edges::EdgeIndex;
use super::flatten;
use crate::board::Outline;

/// Outline contours as polygons, in the outline's own order.
#[must_use]
pub fn polygons(outline: &Outline) -> Vec<Vec<Point>> {
    outline.contours.iter().map(flatten::contour).filter(|c| c.len() > 2).collect()
}

/// The board's edge, indexed.
pub struct Edge {
    /// Its pieces.
    pub index: EdgeIndex,
}

impl Edge {
    /// Indexes outline polygons; `None` when there are none.
    #[must_use]
    pub fn new(polygons: &[Vec<Point>]) -> Option<Self> {
        (!polygons.is_empty()).then(|| Self { index: EdgeIndex::of_contours(polygons) })
    }

    /// Whether a point lies in material: inside an odd number of contours.
    #[must_use]
    pub fn holds(&self, p: Point) -> bool {
        self.index.enclosing(p) % 2 == 1
    }
}
