//! Final images: islands of copper, openings of mask, strokes of legend.

use landgap_parser::{Nm, Point};

use crate::board::{LayerRef, Source};

/// A box with its sides on the axes; empty when `min` lies beyond `max`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// Lower left corner.
    pub min: Point,
    /// Upper right corner.
    pub max: Point,
}

impl Bounds {
    /// A box that holds nothing.
    pub const EMPTY: Self = Self { min: Point::new(Nm::MAX, Nm::MAX), max: Point::new(Nm::MIN, Nm::MIN) };

    /// Whether nothing lies in it.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.min.x > self.max.x || self.min.y > self.max.y
    }

    /// Grows the box to hold `point`.
    pub fn add(&mut self, point: Point) {
        self.min = Point::new(self.min.x.min(point.x), self.min.y.min(point.y));
        self.max = Point::new(self.max.x.max(point.x), self.max.y.max(point.y));
    }

    /// The box round some points.
    #[must_use]
    pub fn of(points: &[Point]) -> Self {
        let mut bounds = Self::EMPTY;
        points.iter().for_each(|p| bounds.add(*p));
        bounds
    }

    /// The box grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: Nm) -> Self {
        if self.is_empty() {
            return *self;
        }
        Self { min: Point::new(self.min.x - by, self.min.y - by), max: Point::new(self.max.x + by, self.max.y + by) }
    }

    /// Whether two boxes share a point.
    #[must_use]
    pub const fn meets(&self, other: &Self) -> bool {
        self.min.x <= other.max.x && other.min.x <= self.max.x && self.min.y <= other.max.y && other.min.y <= self.max.y
    }

    /// Whether a point lies in it or on its edge.
    #[must_use]
    pub const fn holds(&self, p: Point) -> bool {
        self.min.x <= p.x && p.x <= self.max.x && self.min.y <= p.y && p.y <= self.max.y
    }

    /// Half-way between its corners.
    #[must_use]
    pub const fn middle(&self) -> Point {
        Point::new(self.min.x.midpoint(self.max.x), self.min.y.midpoint(self.max.y))
    }

    /// Extent in x; 0 when empty.
    #[must_use]
    pub const fn width(&self) -> Nm {
        if self.is_empty() { 0 } else { self.max.x - self.min.x }
    }

    /// Extent in y; 0 when empty.
    #[must_use]
    pub const fn height(&self) -> Nm {
        if self.is_empty() { 0 } else { self.max.y - self.min.y }
    }
}

/// A connected piece of a layer's final image.
#[derive(Clone, Debug)]
pub struct Island {
    /// Outer contour first (counter-clockwise), then its holes (clockwise).
    pub contours: Vec<Vec<Point>>,
    /// Box round it.
    pub bounds: Bounds,
    /// Net it belongs to, index into `Facts::net_names`; 0 for images that carry no nets.
    pub net: u32,
    /// A line that drew part of it.
    pub source: Source,
}

/// The final image of one layer.
#[derive(Clone, Debug)]
pub struct LayerImage {
    /// Which layer.
    pub layer: LayerRef,
    /// Its pieces, ordered by lower left corner.
    pub islands: Vec<Island>,
    /// Smallest coordinate step of its file.
    pub step: Nm,
}

/// Final images of the whole board.
#[derive(Clone, Debug, Default)]
pub struct Geometry {
    /// Copper layers from the top.
    pub copper: Vec<LayerImage>,
    /// Solder masks (as openings).
    pub masks: Vec<LayerImage>,
    /// Outline contours as polygons, in the order of `Outline::contours`.
    pub outline: Vec<Vec<Point>>,
    /// How far a flattened curve lies from the true one at most.
    pub flattening: Nm,
}

impl Geometry {
    /// The image of one layer, if the board has it.
    #[must_use]
    pub fn image(&self, layer: LayerRef) -> Option<&LayerImage> {
        self.copper.iter().chain(&self.masks).find(|l| l.layer == layer)
    }
}
