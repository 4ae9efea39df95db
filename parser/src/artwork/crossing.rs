//! Whether the straight edges of a contour cross or overlap one another.
//!
//! Edges that merely touch, and cut-ins whose two edges coincide in full, are let pass; so is what
//! lies within one step of the coordinate format, because rounding explains it. Arcs are not looked at.

use crate::image::{Contour, Edge};
use crate::length::Nm;
use crate::point::Point;

/// What is wrong with a contour, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fault {
    /// Two edges cross at this point (nanometres).
    Crosses(f64, f64),
    /// Two edges run over one another in part, from this point on.
    Overlaps(Point),
}

/// Looking on would cost more pairs of edges than allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooMany;

#[derive(Clone, Copy, Debug)]
struct Side {
    from: Point,
    to: Point,
    /// Least and greatest x and y.
    x: (Nm, Nm),
    y: (Nm, Nm),
}

impl Side {
    fn new(from: Point, to: Point) -> Self {
        Self { from, to, x: (from.x.min(to.x), from.x.max(to.x)), y: (from.y.min(to.y), from.y.max(to.y)) }
    }

    /// Twice the signed area of the triangle with `p`; coordinates within one metre cannot overflow it.
    const fn turn(&self, p: Point) -> i64 {
        (self.to.x - self.from.x) * (p.y - self.from.y) - (self.to.y - self.from.y) * (p.x - self.from.x)
    }

    fn length(&self) -> f64 {
        self.from.distance(self.to)
    }
}

/// The first crossing of a contour, or else its first overlap; `pairs` is what may still be looked at.
pub fn find(contour: &Contour, step: Nm, pairs: &mut u64) -> Result<Option<Fault>, TooMany> {
    let mut sides = sides(contour);
    if sides.len() < 4 {
        return Ok(None);
    }
    sides.sort_unstable_by_key(|s| (s.x.0, s.y.0, s.from, s.to));
    let mut overlap = None;
    let mut open: Vec<Side> = Vec::new();
    for side in sides {
        open.retain(|o| o.x.1 >= side.x.0);
        *pairs = pairs.checked_sub(open.len() as u64).ok_or(TooMany)?;
        for other in open.iter().filter(|o| o.y.0 <= side.y.1 && side.y.0 <= o.y.1) {
            match pair(other, &side, step as f64) {
                Some(Fault::Overlaps(at)) => overlap = overlap.or(Some(Fault::Overlaps(at))),
                Some(crossing) => return Ok(Some(crossing)),
                None => {}
            }
        }
        open.push(side);
    }
    Ok(overlap)
}

fn sides(contour: &Contour) -> Vec<Side> {
    let mut at = contour.start;
    let mut sides = Vec::with_capacity(contour.edges.len());
    for edge in &contour.edges {
        if matches!(edge, Edge::Line { .. }) && edge.to() != at {
            sides.push(Side::new(at, edge.to()));
        }
        at = edge.to();
    }
    sides
}

fn pair(a: &Side, b: &Side, step: f64) -> Option<Fault> {
    let (from, to) = (a.turn(b.from), a.turn(b.to));
    if from == 0 && to == 0 {
        return overlap(a, b, step);
    }
    let (back, fore) = (b.turn(a.from), b.turn(a.to));
    let both = from.signum() * to.signum() < 0 && back.signum() * fore.signum() < 0;
    let least = |p: i64, q: i64, side: &Side| p.unsigned_abs().min(q.unsigned_abs()) as f64 / side.length();
    // An end that reaches over the other edge by no more than a step is rounding.
    if !both || least(from, to, a).min(least(back, fore, b)) <= step {
        return None;
    }
    let part = from as f64 / (from as f64 - to as f64);
    let on = |from: Nm, to: Nm| from as f64 + part * (to - from) as f64;
    Some(Fault::Crosses(on(b.from.x, b.to.x), on(b.from.y, b.to.y)))
}

/// Edges on one line: overlapping in part is a fault, coinciding in full is a cut-in.
fn overlap(a: &Side, b: &Side, step: f64) -> Option<Fault> {
    let coincide = (a.from, a.to) == (b.to, b.from) || (a.from, a.to) == (b.from, b.to);
    let low = Point::new(a.x.0.max(b.x.0), a.y.0.max(b.y.0));
    let high = Point::new(a.x.1.min(b.x.1), a.y.1.min(b.y.1));
    let shared = high.x >= low.x && high.y >= low.y && low.distance(high) > step;
    (!coincide && shared).then_some(Fault::Overlaps(low))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn contour(points: &[(Nm, Nm)]) -> Contour {
        let at = |p: &(Nm, Nm)| Point::new(p.0, p.1);
        let edges = points[1..].iter().chain(&points[..1]).map(|p| Edge::Line { to: at(p) }).collect();
        Contour { start: at(&points[0]), edges, line: 1 }
    }

    fn found(points: &[(Nm, Nm)]) -> Option<Fault> {
        find(&contour(points), 10, &mut 1000).expect("few pairs")
    }

    #[test]
    fn crossings_and_overlaps_are_found() {
        assert_eq!(found(&[(0, 0), (100, 100), (100, 0), (0, 100)]), Some(Fault::Crosses(50.0, 50.0)));
        let spike = [(0, 0), (100, 0), (100, 100), (50, 100), (50, 200), (50, 100), (0, 100)];
        assert_eq!(found(&spike), None);
        let part = [(0, 0), (100, 0), (100, 100), (50, 100), (50, 200), (50, 150), (50, 100), (0, 100)];
        assert_eq!(found(&part), Some(Fault::Overlaps(Point::new(50, 100))));
    }

    #[test]
    fn touching_and_rounding_pass() {
        assert_eq!(found(&[(0, 0), (100, 0), (100, 100), (50, 0), (0, 100)]), None);
        assert_eq!(found(&[(0, 0), (100, 0), (100, 100), (50, -9), (0, 100)]), None);
        assert!(matches!(found(&[(0, 0), (100, 0), (100, 100), (50, -30), (0, 100)]), Some(Fault::Crosses(..))));
        let metre = 1_000_000_000;
        let far = [(-metre, -metre), (metre, metre), (metre, -metre), (-metre, metre)];
        assert_eq!(found(&far), Some(Fault::Crosses(0.0, 0.0)));
    }

    #[test]
    fn the_work_is_bounded() {
        assert_eq!(find(&contour(&[(0, 0), (100, 100), (100, 0), (0, 100)]), 10, &mut 1), Err(TooMany));
    }
}
