//! Canned patterns: two rows (G82), a ring of eight (G83), and the drilled circle (G84).

use std::f64::consts::FRAC_1_SQRT_2;

use super::block::Block;
use super::codes;
use super::hits::HitShape;
use super::machine::{Machine, Pending};
use crate::image::Edge;
use crate::length::Nm;
use crate::limits::LimitReached;
use crate::point::Point;

/// Distance of the pins of a row, 0.100 inch.
const PITCH: Nm = 2_540_000;
/// Distance of the rows, 0.300 inch.
const ROW: Nm = 7_620_000;
/// How far corners may lie off the grid: they are often rounded to other units.
const SLACK: u64 = 100_000;

impl Machine<'_> {
    /// Starts a pattern whose corners follow. Coordinates on its own line set pitch and row.
    pub(super) fn begin_canned(&mut self, block: &Block) -> bool {
        let rows = block.has_g(82) || (block.has_g(81) && self.program.command_set == Some(2));
        if rows {
            let read = |machine: &mut Self, word: Option<_>, default| {
                word.and_then(|w| machine.length(w)).filter(|v| *v > 0).unwrap_or(default)
            };
            let pitch = read(self, block.x, PITCH);
            let row = read(self, block.y, ROW);
            self.pending = Pending::Rows { pitch, row, first: None };
        } else if block.has_g(83) {
            self.pending = Pending::Ring { first: None };
        }
        let begins = rows || block.has_g(83);
        if begins {
            self.remarks.note(&codes::CANNED, self.place, "a canned pattern of holes", "");
        }
        begins
    }

    /// Takes the next corner of the pattern that was begun.
    pub(super) fn feed_canned(&mut self, at: Point) -> Result<(), LimitReached> {
        match std::mem::replace(&mut self.pending, Pending::Nothing) {
            Pending::Rows { pitch, row, first: None } => {
                self.pending = Pending::Rows { pitch, row, first: Some(at) };
            }
            Pending::Ring { first: None } => self.pending = Pending::Ring { first: Some(at) },
            Pending::Rows { pitch, row, first: Some(first) } => return self.rows(first, at, pitch, row),
            Pending::Ring { first: Some(first) } => return self.ring(first, at),
            Pending::Nothing | Pending::Text => {}
        }
        Ok(())
    }

    fn rows(&mut self, first: Point, last: Point, pitch: Nm, row: Nm) -> Result<(), LimitReached> {
        let Point { x: dx, y: dy } = last.minus(first);
        let across = |d: Nm| d.saturating_abs().abs_diff(row) <= SLACK;
        let along = |d: Nm| d.saturating_abs().saturating_add(pitch / 2).checked_div(pitch).unwrap_or(0);
        let on_grid = |d: Nm| along(d) > 0 && d.saturating_abs().abs_diff(along(d).saturating_mul(pitch)) <= SLACK;
        let in_y = across(dx) && on_grid(dy);
        let in_x = across(dy) && on_grid(dx);
        let start = self.hits.len();
        if !in_x && !in_y {
            let expected = "corners one row distance apart, and a whole number of pitches";
            self.remarks.note(&codes::PATTERN_CORNERS, self.place, "the corners do not fit the pattern", expected);
            self.hole(first)?;
            self.hole(last)?;
        } else {
            let upright = in_y && (!in_x || dy.abs() > dx.abs());
            let steps = along(if upright { dy } else { dx });
            self.row(first, if upright { (0, dy) } else { (dx, 0) }, steps)?;
            self.row(last, if upright { (0, dy.saturating_neg()) } else { (dx.saturating_neg(), 0) }, steps)?;
        }
        self.last_pattern = Some(start..self.hits.len());
        Ok(())
    }

    fn row(&mut self, from: Point, (dx, dy): (Nm, Nm), steps: Nm) -> Result<(), LimitReached> {
        for step in 0..=steps {
            self.hole(from.plus(Point::new(part(dx, step, steps), part(dy, step, steps))))?;
        }
        Ok(())
    }

    fn ring(&mut self, first: Point, opposite: Point) -> Result<(), LimitReached> {
        let start = self.hits.len();
        let centre = (first.plus(opposite).x as f64 / 2.0, first.plus(opposite).y as f64 / 2.0);
        let mut arm = (first.x as f64 - centre.0, first.y as f64 - centre.1);
        let half = ((arm.0 - arm.1) * FRAC_1_SQRT_2, (arm.0 + arm.1) * FRAC_1_SQRT_2);
        let mut between = half;
        for _ in 0..4 {
            for v in [arm, between] {
                self.hole(Point::new((centre.0 + v.0).round() as Nm, (centre.1 + v.1).round() as Nm))?;
            }
            arm = (-arm.1, arm.0);
            between = (-between.1, between.0);
        }
        self.last_pattern = Some(start..self.hits.len());
        Ok(())
    }

    /// `X#Y#G84X#`: a circle of the given finished diameter.
    pub(super) fn drilled_circle(&mut self, block: &Block) -> Result<(), LimitReached> {
        let Some(centre) = self.target(block.x, block.y, self.cursor) else { return Ok(()) };
        self.cursor = centre;
        let finished = block.x2.and_then(|w| self.length(w));
        let tool = self.diameter();
        let radius = finished.zip(tool).filter(|(f, t)| *f / 2 >= *t).and_then(|(f, t)| Some(f.checked_sub(t)? / 2));
        self.circle(centre, radius, true)
    }

    /// A full circle of the tool's axis round `centre`; one hole where there is no radius.
    pub(super) fn circle(&mut self, centre: Point, radius: Option<Nm>, ccw: bool) -> Result<(), LimitReached> {
        let Some(radius) = radius.filter(|r| *r > 0) else {
            let found = "a circle that the tool cannot make, or a tool of unknown size";
            self.remarks.note(&codes::CIRCLE_SIZE, self.place, found, "a circle larger than the tool");
            return self.hole(centre);
        };
        self.spend(1)?;
        self.spend_vertices(1)?;
        let start = Point::new(centre.x.saturating_add(radius), centre.y);
        let start = Some(start).filter(|p| p.x <= crate::length::COORDINATE_MAX);
        if let (Some(centre), Some(start)) = (self.on_board(centre), start.and_then(|p| self.on_board(p))) {
            let edges = vec![Edge::Arc { to: start, centre, counter_clockwise: ccw }];
            self.push(HitShape::Route { start, edges }, self.place.line);
        }
        Ok(())
    }
}

/// `step / steps` of a distance, rounded.
fn part(distance: Nm, step: Nm, steps: Nm) -> Nm {
    let wide = i128::from(distance).saturating_mul(i128::from(step));
    let divisor = i128::from(steps.max(1));
    let half = (divisor / 2).saturating_mul(wide.signum());
    wide.saturating_add(half).checked_div(divisor).unwrap_or(0) as Nm
}
