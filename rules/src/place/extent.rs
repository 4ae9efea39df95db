//! Bounding boxes.

use landgap_parser::{Contour, Edge, Image, Nm, Point, Shape};

/// A box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Extent {
    pub low: Point,
    pub high: Point,
}

impl Extent {
    pub const fn of(p: Point) -> Self {
        Self { low: p, high: p }
    }

    pub fn include(&mut self, p: Point) {
        self.low = Point::new(self.low.x.min(p.x), self.low.y.min(p.y));
        self.high = Point::new(self.high.x.max(p.x), self.high.y.max(p.y));
    }

    pub fn width(&self) -> Nm {
        self.high.x - self.low.x
    }

    pub fn height(&self) -> Nm {
        self.high.y - self.low.y
    }

    pub fn centre(&self) -> Point {
        Point::new(self.low.x + self.width() / 2, self.low.y + self.height() / 2)
    }

    pub fn grown(&self, by: Nm) -> Self {
        Self { low: Point::new(self.low.x - by, self.low.y - by), high: Point::new(self.high.x + by, self.high.y + by) }
    }

    pub fn holds(&self, p: Point) -> bool {
        (self.low.x..=self.high.x).contains(&p.x) && (self.low.y..=self.high.y).contains(&p.y)
    }

    /// Size in words: "50.800 × 22.860 mm".
    pub fn words(&self) -> String {
        format!("{} × {} mm", mm(self.width()), mm(self.height()))
    }
}

/// A length in millimetres with three decimals.
pub(super) fn mm(nm: Nm) -> String {
    format!("{:.3}", nm as f64 / 1e6)
}

/// The box of points; `None` for no points.
pub(super) fn of_points(points: impl IntoIterator<Item = Point>) -> Option<Extent> {
    let mut points = points.into_iter();
    let mut extent = Extent::of(points.next()?);
    points.for_each(|p| extent.include(p));
    Some(extent)
}

/// The box of a contour, its arcs included.
pub(super) fn of_contour(contour: &Contour) -> Option<Extent> {
    of_points(crate::geometry::flatten::contour(contour))
}

/// The box of the centre lines of an image.
pub(super) fn of_image(image: &Image) -> Option<Extent> {
    let mut extent: Option<Extent> = None;
    let mut include = |p: Point| match &mut extent {
        Some(extent) => extent.include(p),
        None => extent = Some(Extent::of(p)),
    };
    for object in &image.objects {
        match &object.shape {
            Shape::Flash { at, .. } => include(*at),
            Shape::Draw { from, to, .. } => [*from, *to].into_iter().for_each(&mut include),
            Shape::Arc { arc, .. } => [arc.from, arc.to].into_iter().for_each(&mut include),
            Shape::Region { contours, offset } => {
                let points = contours.iter().flat_map(|c| std::iter::once(c.start).chain(c.edges.iter().map(Edge::to)));
                points.for_each(|p| include(Point::new(p.x + offset.x, p.y + offset.y)));
            }
        }
    }
    extent
}
