//! Objects moved and turned, as blocks and repeats ask for.

use std::sync::Arc as Shared;

use super::primitive::sin_cos;
use crate::image::{Arc, Contour, Edge, Object, Shape, Turn};
use crate::length::COORDINATE_MAX;
use crate::point::Point;

/// Least and greatest of the points an object names.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    least: Point,
    greatest: Point,
}

impl Bounds {
    const fn of(p: Point) -> Self {
        Self { least: p, greatest: p }
    }

    fn and(self, p: Point) -> Self {
        Self {
            least: Point::new(self.least.x.min(p.x), self.least.y.min(p.y)),
            greatest: Point::new(self.greatest.x.max(p.x), self.greatest.y.max(p.y)),
        }
    }

    fn fits(&self, by: Point) -> bool {
        is_inside(self.least.plus(by)) && is_inside(self.greatest.plus(by))
    }
}

fn is_inside(p: Point) -> bool {
    let inside = -COORDINATE_MAX..=COORDINATE_MAX;
    inside.contains(&p.x) && inside.contains(&p.y)
}

/// The bounds of an object.
pub fn bounds(object: &Object) -> Bounds {
    match &object.shape {
        Shape::Flash { at, .. } => Bounds::of(*at),
        Shape::Draw { from, to, .. } => Bounds::of(*from).and(*to),
        Shape::Arc { arc, .. } => Bounds::of(arc.from).and(arc.to),
        Shape::Region { contours, offset } => {
            let first = contours.first().map_or(*offset, |c| c.start.plus(*offset));
            let points = contours.iter().flat_map(|c| std::iter::once(c.start).chain(c.edges.iter().map(Edge::to)));
            points.fold(Bounds::of(first), |b, p| b.and(p.plus(*offset)))
        }
    }
}

/// A copy moved; `None` where it would leave the range.
pub fn moved(object: &Object, bounds: &Bounds, by: Point) -> Option<Object> {
    if !bounds.fits(by) {
        return None;
    }
    let mut copy = object.clone();
    match &mut copy.shape {
        Shape::Flash { at, .. } => *at = at.plus(by),
        Shape::Draw { from, to, .. } => (*from, *to) = (from.plus(by), to.plus(by)),
        Shape::Arc { arc, .. } => {
            (arc.from, arc.to, arc.centre) = (arc.from.plus(by), arc.to.plus(by), arc.centre.plus(by));
        }
        Shape::Region { offset, .. } => *offset = offset.plus(by),
    }
    Some(copy)
}

/// A turn about the block's origin and then a move.
struct Placing {
    turn: Turn,
    sin_cos: (f64, f64),
    at: Point,
}

impl Placing {
    fn flips(&self) -> bool {
        self.turn.mirror_x != self.turn.mirror_y
    }

    /// About the block's origin, without the move.
    fn about_origin(&self, p: Point) -> Point {
        let x = p.x as f64 * self.turn.scale * if self.turn.mirror_x { -1.0 } else { 1.0 };
        let y = p.y as f64 * self.turn.scale * if self.turn.mirror_y { -1.0 } else { 1.0 };
        let (sin, cos) = self.sin_cos;
        // A conversion from float saturates, so that what is too far stays too far.
        Point::new((x * cos - y * sin).round() as i64, (x * sin + y * cos).round() as i64)
    }

    fn point(&self, p: Point) -> Option<Point> {
        Some(self.about_origin(p).plus(self.at)).filter(|p| is_inside(*p))
    }

    /// Centres may lie outside the range, as long as what they bend does not.
    fn centre(&self, p: Point) -> Point {
        self.about_origin(p).plus(self.at)
    }

    fn contour(&self, contour: &Contour) -> Contour {
        let edge = |edge: &Edge| match *edge {
            Edge::Line { to } => Edge::Line { to: self.about_origin(to) },
            Edge::Arc { to, centre, counter_clockwise } => Edge::Arc {
                to: self.about_origin(to),
                centre: self.about_origin(centre),
                counter_clockwise: counter_clockwise != self.flips(),
            },
        };
        Contour {
            start: self.about_origin(contour.start),
            edges: contour.edges.iter().map(edge).collect(),
            line: contour.line,
        }
    }

    /// The turn of an object that had `inner` before.
    ///
    /// A mirror on one axis reverses the sense of the rotation it is passed over.
    fn over(&self, inner: Turn) -> Turn {
        let degrees = if self.flips() { -inner.degrees } else { inner.degrees };
        let degrees = (self.turn.degrees + degrees) % 360.0;
        Turn {
            mirror_x: inner.mirror_x != self.turn.mirror_x,
            mirror_y: inner.mirror_y != self.turn.mirror_y,
            degrees: if degrees == 0.0 { 0.0 } else { degrees },
            scale: inner.scale * self.turn.scale,
        }
    }
}

/// A copy turned about the block's origin and moved; `None` where it would leave the range.
pub fn turned(object: &Object, turn: Turn, at: Point) -> Option<Object> {
    let placing = Placing { turn, sin_cos: sin_cos(turn.degrees), at };
    let shape = match &object.shape {
        Shape::Flash { aperture, at, turn } => {
            Shape::Flash { aperture: *aperture, at: placing.point(*at)?, turn: placing.over(*turn) }
        }
        Shape::Draw { aperture, from, to, turn } => Shape::Draw {
            aperture: *aperture,
            from: placing.point(*from)?,
            to: placing.point(*to)?,
            turn: placing.over(*turn),
        },
        Shape::Arc { aperture, arc, turn } => Shape::Arc {
            aperture: *aperture,
            arc: Arc {
                from: placing.point(arc.from)?,
                to: placing.point(arc.to)?,
                centre: placing.centre(arc.centre),
                counter_clockwise: arc.counter_clockwise != placing.flips(),
            },
            turn: placing.over(*turn),
        },
        Shape::Region { contours, offset } => {
            let contours: Vec<Contour> = contours.iter().map(|c| placing.contour(c)).collect();
            Shape::Region { contours: Shared::new(contours), offset: placing.about_origin(*offset).plus(at) }
        }
    };
    let copy = Object { shape, ..object.clone() };
    let fits = bounds(&copy).fits(Point::default());
    fits.then_some(copy)
}
