//! Whether a contour meets itself: where it crosses, runs over itself or touches, and what that leaves unclear.
//!
//! Cut-ins, whose two edges coincide in full, are as the standard has them; what lies within one step of
//! the coordinate format is explained by rounding.

use super::boxes;
pub use super::boxes::TooMany;
use super::sides::{Side, Sides};
use super::winding::{self, Areas, Splits};
use crate::image::Contour;
use crate::length::Nm;
use crate::point::Point;

/// How a contour meets itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Two edges cross.
    Crosses,
    /// It goes round part of its area twice, or the wrong way, without edges that cross.
    Twice,
    /// Two edges run over one another in part.
    Overlaps,
    /// A corner lies on another edge or corner.
    Touches,
}

/// What is wrong with a contour, where, and what that leaves unclear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fault {
    pub how: How,
    /// Place in nanometres.
    pub at: Point,
    /// Areas, where they did not cost too much.
    pub areas: Option<Areas>,
}

/// What looking at the contours of one file may still cost; seconds of work at most.
#[derive(Clone, Copy, Debug)]
pub struct Work {
    /// Boxes and pairs of edges.
    pub pairs: u64,
    /// Edges passed while counting how often a place is gone round.
    pub rays: u64,
}

impl Work {
    pub const fn new(pairs: u64) -> Self {
        Self { pairs, rays: 200_000_000 }
    }
}

/// Contours of real copper need a few pairs an edge; where every edge passes every other, the pairs grow with
/// their square and so, many times over, does what uniting them costs.
const PAIRS_OF_AN_EDGE: u64 = 200;
/// Pairs that any contour may cost.
const PAIRS_OF_ANY: u64 = 1_000_000;
/// Counting for a contour that only touches itself may cost this much: it rarely tells anything.
const RAYS_OF_TOUCHES: u64 = 1_000_000;
/// Meetings of edges in one contour; beyond them uniting it would cost minutes.
const MOST_SPLITS: usize = 200_000;

/// What is wrong with a contour, the gravest first.
pub fn find(contour: &Contour, step: Nm, work: &mut Work) -> Result<Option<Fault>, TooMany> {
    if contour.edges.len() < 3 {
        return Ok(None);
    }
    let sides = Sides::of(contour).ok_or(TooMany)?;
    if sides.count() < 4 {
        return Ok(None);
    }
    let mut meetings = Meetings::new(&sides, step as f64 + 2.0 * sides.slack);
    let usual = (contour.edges.len() as u64).saturating_mul(PAIRS_OF_AN_EDGE).saturating_add(PAIRS_OF_ANY);
    let allowed = work.pairs.min(usual);
    let mut left = allowed;
    boxes::near_pairs(&sides, &mut left, |i, j| meetings.look(i, j))?;
    work.pairs = work.pairs.saturating_sub(allowed.saturating_sub(left));
    let Some((how, at)) = meetings.gravest() else { return Ok(None) };
    let splits = meetings.splits;
    if how == How::Crosses {
        return Ok(Some(Fault { how, at, areas: winding::areas(&sides, splits, &mut work.rays) }));
    }
    let mut few = work.rays.min(RAYS_OF_TOUCHES);
    let before = few;
    let areas = winding::areas(&sides, splits, &mut few);
    work.rays = work.rays.saturating_sub(before.saturating_sub(few));
    let twice = areas.is_some_and(|a| a.thick > step as f64 && a.unclear > 0.0);
    Ok(Some(Fault { how: if twice { How::Twice } else { how }, at, areas }))
}

/// Where sides meet that do not follow one another.
struct Meetings<'a> {
    sides: &'a Sides,
    /// What reaches over by no more than this is rounding.
    slack: f64,
    crossing: Option<(usize, usize, Point)>,
    overlap: Option<(usize, usize, Point)>,
    touches: Vec<Point>,
    /// Ends of edges that coincide in full with one in the other direction.
    cut_ends: Vec<Point>,
    splits: Splits,
}

impl<'a> Meetings<'a> {
    fn new(sides: &'a Sides, slack: f64) -> Self {
        let (touches, cut_ends, splits) = (Vec::new(), Vec::new(), Vec::new());
        Self { sides, slack, crossing: None, overlap: None, touches, cut_ends, splits }
    }

    fn gravest(&mut self) -> Option<(How, Point)> {
        if let Some((_, _, at)) = self.crossing {
            return Some((How::Crosses, at));
        }
        if let Some((_, _, at)) = self.overlap {
            return Some((How::Overlaps, at));
        }
        self.cut_ends.sort_unstable();
        let plain = self.touches.iter().filter(|p| self.cut_ends.binary_search(p).is_err());
        plain.min().map(|at| (How::Touches, *at))
    }

    /// Two sides, the lower number first.
    fn look(&mut self, i: usize, j: usize) -> Result<(), TooMany> {
        if self.splits.len() > MOST_SPLITS {
            return Err(TooMany);
        }
        let (a, b) = (self.sides.get(i), self.sides.get(j));
        if a.to == b.from && j.checked_sub(i) == Some(1) {
            self.neighbours((i, a), (j, b));
        } else if b.to == a.from && i == 0 && j.saturating_add(1) == self.sides.count() {
            self.neighbours((j, b), (i, a));
        } else {
            self.pair((i, a), (j, b));
        }
        Ok(())
    }

    /// Sides that share a corner meet again only where one runs back over the other.
    fn neighbours(&mut self, (i, a): (usize, Side), (j, b): (usize, Side)) {
        if a.turn(b.to) == 0 && a.part(b.to) < 1.0 {
            self.in_line((i, a), (j, b));
        }
    }

    fn pair(&mut self, (i, a): (usize, Side), (j, b): (usize, Side)) {
        let (from, to) = (a.turn(b.from), a.turn(b.to));
        if from == 0 && to == 0 {
            return self.in_line((i, a), (j, b));
        }
        let (back, fore) = (b.turn(a.from), b.turn(a.to));
        let apart = |p: i64, q: i64| (p < 0 && q > 0) || (p > 0 && q < 0);
        if apart(from, to) && apart(back, fore) {
            return self.cross((i, a, back, fore), (j, b, from, to));
        }
        for (turn, p) in [(from, b.from), (to, b.to)] {
            if turn == 0 && a.spans(p) {
                self.touch((i, a), (j, b), p);
            }
        }
        for (turn, p) in [(back, a.from), (fore, a.to)] {
            if turn == 0 && b.spans(p) {
                self.touch((i, a), (j, b), p);
            }
        }
    }

    /// Each side comes with the turns of its own ends about the other.
    fn cross(&mut self, (i, a, back, fore): (usize, Side, i64, i64), (j, b, from, to): (usize, Side, i64, i64)) {
        let part = |p: i64, q: i64| p as f64 / (p as f64 - q as f64);
        let on_a = part(back, fore);
        self.splits.push((i as u32, on_a));
        self.splits.push((j as u32, part(from, to)));
        let least = |p: i64, q: i64, side: &Side| p.unsigned_abs().min(q.unsigned_abs()) as f64 / side.length();
        // An end that reaches over the other edge by no more than a step is rounding.
        if least(from, to, &a).min(least(back, fore, &b)) <= self.slack {
            return;
        }
        let (x, y) = a.at(on_a);
        let found = (i, j, Point::new(x.round() as Nm, y.round() as Nm));
        self.crossing = Some(self.crossing.map_or(found, |earlier| earlier.min(found)));
    }

    fn touch(&mut self, (i, a): (usize, Side), (j, b): (usize, Side), p: Point) {
        self.splits.push((i as u32, a.part(p)));
        self.splits.push((j as u32, b.part(p)));
        self.touches.push(p);
    }

    /// Sides on one line: overlapping in part is a fault, coinciding in full is a cut-in.
    fn in_line(&mut self, (i, a): (usize, Side), (j, b): (usize, Side)) {
        let shared: Vec<Point> = [b.from, b.to].into_iter().filter(|p| a.spans(*p)).collect();
        let shared = shared.into_iter().chain([a.from, a.to].into_iter().filter(|p| b.spans(*p)));
        let (Some(low), Some(high)) = (shared.clone().min(), shared.max()) else { return };
        self.touch((i, a), (j, b), low);
        self.touch((i, a), (j, b), high);
        if (a.from, a.to) == (b.to, b.from) {
            self.cut_ends.extend([low, high]);
        } else if low.distance(high) > self.slack {
            let found = (i, j, low);
            self.overlap = Some(self.overlap.map_or(found, |earlier| earlier.min(found)));
        }
    }
}

#[cfg(test)]
#[path = "crossing_tests.rs"]
mod tests;
