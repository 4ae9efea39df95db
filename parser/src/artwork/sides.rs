//! A contour as straight sides between whole nanometres, arcs cut finely enough.

use std::f64::consts::TAU;

use crate::image::{Arc, Contour, Edge};
use crate::length::{COORDINATE_MAX, Nm};
use crate::point::Point;

/// How far the middle of a piece of an arc may lie off the arc (nm).
const SAG: f64 = 100.0;
/// Pieces of one arc at most; the largest arcs are cut more coarsely.
const MOST_PIECES: f64 = 1024.0;
/// Pieces of all arcs of one contour at most.
const MOST_CUT: usize = 4_000_000;

/// One straight side.
#[derive(Clone, Copy, Debug)]
pub struct Side {
    pub from: Point,
    pub to: Point,
}

impl Side {
    /// Twice the signed area of the triangle with `p`. Coordinates within one metre give differences
    /// below 2³¹, so that the products and their difference fit.
    #[inline]
    pub const fn turn(&self, p: Point) -> i64 {
        let (x, y) = (self.to.x.wrapping_sub(self.from.x), self.to.y.wrapping_sub(self.from.y));
        let (u, v) = (p.x.wrapping_sub(self.from.x), p.y.wrapping_sub(self.from.y));
        x.wrapping_mul(v).wrapping_sub(y.wrapping_mul(u))
    }

    /// Whether `p` lies in the box of the side.
    #[inline]
    pub fn spans(&self, p: Point) -> bool {
        let between = |a: Nm, b: Nm, v: Nm| (a.min(b)..=a.max(b)).contains(&v);
        between(self.from.x, self.to.x, p.x) && between(self.from.y, self.to.y, p.y)
    }

    pub fn length(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// How far along the side the foot of `p` lies, 0 at its start and 1 at its end.
    pub fn part(&self, p: Point) -> f64 {
        let (way, reach) = (self.to.minus(self.from), p.minus(self.from));
        let (x, y) = (way.x as f64, way.y as f64);
        (reach.x as f64 * x + reach.y as f64 * y) / (x * x + y * y)
    }

    /// The point at `part` of the way.
    pub fn at(&self, part: f64) -> (f64, f64) {
        let way = self.to.minus(self.from);
        (self.from.x as f64 + part * way.x as f64, self.from.y as f64 + part * way.y as f64)
    }
}

/// The sides of a contour, each from one corner to the next and the last to the first.
#[derive(Debug, Default)]
pub struct Sides {
    corners: Vec<Point>,
    /// How far sides may lie off the contour (nm).
    pub slack: f64,
}

impl Sides {
    /// The sides of `contour`; `None` where an arc bulges out of the range of the reader, or where there
    /// are too many arcs.
    pub fn of(contour: &Contour) -> Option<Self> {
        let mut sides = Self { corners: Vec::with_capacity(contour.edges.len().saturating_add(1)), slack: 0.0 };
        sides.push(contour.start);
        let mut at = contour.start;
        for edge in &contour.edges {
            match *edge {
                Edge::Line { to } => sides.push(to),
                Edge::Arc { to, centre, counter_clockwise } => {
                    if sides.count().saturating_sub(contour.edges.len()) > MOST_CUT {
                        return None;
                    }
                    sides.arc(&Arc { from: at, to, centre, counter_clockwise });
                }
            }
            at = edge.to();
        }
        if sides.corners.first() == sides.corners.last() {
            sides.corners.pop();
        }
        let inside = |p: &Point| p.x.abs().max(p.y.abs()) <= COORDINATE_MAX;
        sides.corners.iter().all(inside).then_some(sides)
    }

    fn push(&mut self, p: Point) {
        if self.corners.last() != Some(&p) {
            self.corners.push(p);
        }
    }

    /// An arc and its reverse are cut at the same points.
    fn arc(&mut self, arc: &Arc) {
        let (from, to) = if arc.counter_clockwise { (arc.from, arc.to) } else { (arc.to, arc.from) };
        let (sweep, radius) = (sweep(from, to, arc.centre), arc.centre.distance(from));
        let finest = 2.0 * (1.0 - (SAG / radius).min(1.0)).acos();
        let pieces = (sweep / finest).ceil().clamp(1.0, MOST_PIECES);
        self.slack = self.slack.max(radius * (1.0 - (sweep / pieces / 2.0).cos()));
        let arm = from.minus(arc.centre);
        let growth = arc.centre.distance(to) / radius.max(1.0) - 1.0;
        let point = |i: u32| {
            let part = f64::from(i) / pieces;
            let (sin, cos) = (sweep * part).sin_cos();
            let (x, y) = (arm.x as f64, arm.y as f64);
            let scale = 1.0 + growth * part;
            let turned = ((x * cos - y * sin) * scale, (x * sin + y * cos) * scale);
            arc.centre.plus(Point::new(turned.0.round() as Nm, turned.1.round() as Nm))
        };
        let last = pieces as u32;
        for i in 1..last {
            self.push(point(if arc.counter_clockwise { i } else { last.saturating_sub(i) }));
        }
        self.push(arc.to);
    }

    pub const fn count(&self) -> usize {
        self.corners.len()
    }

    /// The side with this number.
    #[inline]
    pub fn get(&self, index: usize) -> Side {
        let from = self.corners.get(index).copied().unwrap_or_default();
        let next = self.corners.get(index.saturating_add(1)).or(self.corners.first());
        Side { from, to: next.copied().unwrap_or(from) }
    }

    pub fn iter(&self) -> impl Iterator<Item = Side> + '_ {
        (0..self.count()).map(|i| self.get(i))
    }
}

/// The angle from one point counter-clockwise round to the other; a full turn where both are one.
pub fn sweep(from: Point, to: Point, centre: Point) -> f64 {
    if from == to {
        return TAU;
    }
    let (u, v) = (from.minus(centre), to.minus(centre));
    let (ux, uy, vx, vy) = (u.x as f64, u.y as f64, v.x as f64, v.y as f64);
    let angle = (ux * vy - uy * vx).atan2(ux * vx + uy * vy);
    if angle <= 0.0 { angle + TAU } else { angle }
}
