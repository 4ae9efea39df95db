//! Routed paths: plunge, cuts along lines and arcs, retract.

use super::block::Block;
use super::codes;
use super::hits::HitShape;
use super::machine::{ArcBy, Machine, Mode, Motion, Path};
use crate::image::Edge;
use crate::length::{COORDINATE_MAX, Nm};
use crate::limits::LimitReached;
use crate::point::Point;

impl Machine<'_> {
    /// `M14` and `M15` plunge, `M16` and `M17` retract; they act behind the block's own move.
    pub(super) fn raise_or_lower(&mut self, block: &Block) -> Result<(), LimitReached> {
        if block.has_m(14) || block.has_m(15) {
            self.close_path(true)?;
            self.mode = Mode::Rout;
            let start = self.cursor;
            if let Some(start) = self.on_board(start) {
                self.path = Some(Path { start, edges: Vec::new(), line: self.place.line });
            }
        }
        if block.has_m(16) || block.has_m(17) {
            self.close_path(false)?;
        }
        Ok(())
    }

    /// Ends the path that is open, if any: one straight cut is a slot, none is a hole.
    pub(super) fn close_path(&mut self, unasked: bool) -> Result<(), LimitReached> {
        let Some(path) = self.path.take() else { return Ok(()) };
        if unasked {
            let found = format!("the path begun on line {} was not ended", path.line);
            self.remarks.note(&codes::PATH_OPEN, self.place, found, "M16 or M17");
        }
        self.spend(1)?;
        self.spend_vertices(path.edges.len() as u64)?;
        let shape = match path.edges.as_slice() {
            [] => HitShape::Hole { at: path.start },
            [Edge::Line { to }] => HitShape::Slot { from: path.start, to: *to },
            _ => HitShape::Route { start: path.start, edges: path.edges },
        };
        self.push(shape, path.line);
        Ok(())
    }

    /// A coordinate while routing.
    pub(super) fn cut(&mut self, block: &Block, from: Point, to: Point) -> Result<(), LimitReached> {
        if self.motion == Motion::Rapid {
            return self.close_path(true);
        }
        if self.path.is_none() {
            self.remarks.note(&codes::CUT_UP, self.place, "a cut with the tool up", "M15 before it");
            return Ok(());
        }
        let edge = match self.motion {
            Motion::Arc { counter_clockwise } => self.arc_edge(block, from, to, counter_clockwise),
            Motion::Rapid | Motion::Straight => (from != to).then_some(Edge::Line { to }),
        };
        let Some(edge) = edge.and_then(|e| self.edge_on_board(e)) else { return Ok(()) };
        if let Some(path) = &mut self.path {
            path.edges.push(edge);
        }
        Ok(())
    }

    fn edge_on_board(&mut self, edge: Edge) -> Option<Edge> {
        let origin = self.origin;
        let to = self.on_board(edge.to())?;
        Some(match edge {
            Edge::Line { .. } => Edge::Line { to },
            Edge::Arc { centre, counter_clockwise, .. } => Edge::Arc {
                to,
                centre: Point::new(centre.x.saturating_add(origin.x), centre.y.saturating_add(origin.y)),
                counter_clockwise,
            },
        })
    }

    /// Takes radius or centre from the block; without them those of an earlier block hold.
    fn arc_by(&mut self, block: &Block) -> Option<ArcBy> {
        let near = |v: &Nm| v.unsigned_abs() / 2 <= COORDINATE_MAX.unsigned_abs();
        if let Some(word) = block.a {
            self.arc = self.length(word).filter(near).map(|a| ArcBy::Radius(a.abs()));
        } else if block.i.is_some() || block.j.is_some() {
            let (before_i, before_j) = match self.arc {
                Some(ArcBy::Centre(i, j)) => (i, j),
                _ => (0, 0),
            };
            let i = block.i.map_or(Some(before_i), |w| self.length(w)).filter(near);
            let j = block.j.map_or(Some(before_j), |w| self.length(w)).filter(near);
            self.arc = i.zip(j).map(|(i, j)| ArcBy::Centre(i, j));
        }
        self.arc
    }

    fn arc_edge(&mut self, block: &Block, from: Point, to: Point, ccw: bool) -> Option<Edge> {
        let centre = match self.arc_by(block) {
            Some(ArcBy::Radius(radius)) if from != to => Some(self.centre_by_radius(from, to, radius, ccw)),
            Some(ArcBy::Centre(i, j)) if (i, j) != (0, 0) => Some(self.centre_by_offset(from, to, i, j, ccw)),
            _ => None,
        };
        if let Some(centre) = centre {
            return Some(Edge::Arc { to, centre, counter_clockwise: ccw });
        }
        self.remarks.note(
            &codes::ARC_UNDEFINED,
            self.place,
            "an arc without a usable radius or centre",
            "A, or I and J",
        );
        (from != to).then_some(Edge::Line { to })
    }

    /// Centre of the arc of at most 180° with this radius; of a semicircle where it is too short.
    fn centre_by_radius(&mut self, from: Point, to: Point, radius: Nm, ccw: bool) -> Point {
        let way = to.minus(from);
        let chord_squared = squared(way);
        let rest = square(radius).saturating_mul(4).saturating_sub(chord_squared);
        let chord = (chord_squared as f64).sqrt();
        if chord / 2.0 - radius as f64 > self.step as f64 {
            let found = format!("radius {} nm for a chord of {} nm", radius, chord.round());
            self.remarks.note(&codes::ARC_RADIUS, self.place, found, "a radius of at least half the chord");
        }
        let height = (rest.max(0) as f64).sqrt() / 2.0;
        let side = if ccw { height } else { -height };
        let (middle_x, middle_y) = (from.plus(to).x as f64 / 2.0, from.plus(to).y as f64 / 2.0);
        let x = middle_x - side * way.y as f64 / chord;
        let y = middle_y + side * way.x as f64 / chord;
        Point::new(x.round() as Nm, y.round() as Nm)
    }

    /// Centre at start + (I, J), or at start − (I, J) where only that fits the end.
    fn centre_by_offset(&mut self, from: Point, to: Point, i: Nm, j: Nm, ccw: bool) -> Point {
        let offset = Point::new(i, j);
        let (plus, minus) = (from.plus(offset), from.minus(offset));
        let misfit = |c: Point| (c.distance(from) - c.distance(to)).abs();
        let tolerance = self.step.saturating_mul(3).max(1_000) as f64;
        let mut centre = plus;
        if misfit(plus) > tolerance && misfit(minus) <= tolerance {
            self.remarks.note(&codes::ARC_SIGN, self.place, "I and J point away from the centre", "start + (I, J)");
            centre = minus;
        } else if misfit(plus) > tolerance {
            let found = format!("the ends of an arc lie {} nm off one radius", misfit(plus).round());
            self.remarks.note(&codes::ARC_MISFIT, self.place, found, "both ends at one radius");
        }
        if is_long(from, to, centre, ccw) {
            self.remarks.note(&codes::ARC_LONG, self.place, "an arc of more than 180 degrees", "");
        }
        centre
    }

    /// `G32`, `G33`: a circle routed from inside; its radius is that of the finished circle.
    pub(super) fn inside_circle(&mut self, block: &Block) -> Result<(), LimitReached> {
        let Some(centre) = self.target(block.x, block.y, self.cursor) else { return Ok(()) };
        self.close_path(true)?;
        self.cursor = centre;
        let finished = block.a.and_then(|w| self.length(w));
        let radius = finished.zip(self.diameter()).and_then(|(f, tool)| f.checked_sub(tool / 2));
        self.circle(centre, radius.filter(|r| *r <= COORDINATE_MAX), block.has_g(33))
    }
}

fn is_long(from: Point, to: Point, centre: Point, ccw: bool) -> bool {
    let (a, b) = (from.minus(centre), to.minus(centre));
    let product = |x: Nm, y: Nm| i128::from(x).saturating_mul(i128::from(y));
    let cross = product(a.x, b.y).saturating_sub(product(a.y, b.x));
    let turn = if ccw { cross } else { cross.saturating_neg() };
    // A hundredth of a radian beyond 180° is taken for rounding.
    from == to || (turn as f64) < -0.01 * squared(a) as f64
}

fn square(length: Nm) -> i128 {
    i128::from(length).saturating_mul(i128::from(length))
}

/// The square of a way's length.
fn squared(way: Point) -> i128 {
    square(way.x).saturating_add(square(way.y))
}
