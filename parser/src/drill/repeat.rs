//! Repeats: single holes (`R`), stored patterns (`P`), and step and repeat (`M25` to `M08`).
//!
//! Nothing here calls itself: each command adds copies of hits that already stand in the list, and
//! pays for them first.

use super::block::Block;
use super::codes;
use super::hits::{Hit, HitShape};
use super::machine::{Machine, Mode, Pattern};
use super::words::Word;
use crate::image::Edge;
use crate::length::{COORDINATE_MAX, Nm};
use crate::limits::LimitReached;
use crate::point::Point;

/// How a copy differs from what it copies.
#[derive(Clone, Copy, Debug, Default)]
struct Copy {
    swap: bool,
    negate_x: bool,
    negate_y: bool,
    offset: Point,
    origin: Point,
}

impl Copy {
    fn point(&self, p: Point) -> Point {
        let (x, y) = (p.x.saturating_sub(self.origin.x), p.y.saturating_sub(self.origin.y));
        let (x, y) = if self.swap { (y, x) } else { (x, y) };
        let sign = |negate, v: Nm| if negate { v.saturating_neg() } else { v };
        let place = |v: Nm, o: Nm, w: Nm| v.saturating_add(o).saturating_add(w);
        Point::new(
            place(sign(self.negate_x, x), self.offset.x, self.origin.x),
            place(sign(self.negate_y, y), self.offset.y, self.origin.y),
        )
    }

    const fn turns_over(&self) -> bool {
        self.swap ^ self.negate_x ^ self.negate_y
    }

    fn edge(&self, edge: &Edge) -> Edge {
        match *edge {
            Edge::Line { to } => Edge::Line { to: self.point(to) },
            Edge::Arc { to, centre, counter_clockwise } => Edge::Arc {
                to: self.point(to),
                centre: self.point(centre),
                counter_clockwise: counter_clockwise ^ self.turns_over(),
            },
        }
    }

    fn shape(&self, shape: &HitShape) -> HitShape {
        match shape {
            HitShape::Hole { at } => HitShape::Hole { at: self.point(*at) },
            HitShape::Slot { from, to } => HitShape::Slot { from: self.point(*from), to: self.point(*to) },
            HitShape::Route { start, edges } => {
                HitShape::Route { start: self.point(*start), edges: edges.iter().map(|e| self.edge(e)).collect() }
            }
        }
    }
}

fn in_range(shape: &HitShape) -> bool {
    let ok = |p: &Point| p.x.unsigned_abs() <= COORDINATE_MAX as u64 && p.y.unsigned_abs() <= COORDINATE_MAX as u64;
    match shape {
        HitShape::Hole { at } => ok(at),
        HitShape::Slot { from, to } => ok(from) && ok(to),
        HitShape::Route { start, edges } => ok(start) && edges.iter().all(|e| ok(&e.to())),
    }
}

impl Machine<'_> {
    fn repeat_count(&mut self, word: Word) -> u32 {
        word.count().unwrap_or_else(|| {
            self.remarks.note(&codes::MALFORMED, self.place, word.to_string(), "a whole number of repeats");
            0
        })
    }

    /// The step of a repeat: never absolute, an axis left out is zero.
    fn step_of(&mut self, block: &Block) -> Option<Point> {
        let read = |machine: &mut Self, word: Option<Word>| word.map_or(Some(0), |w| machine.length(w));
        let (x, y) = (read(self, block.x)?, read(self, block.y)?);
        let near = |v: Nm| v.unsigned_abs() / 2 <= COORDINATE_MAX.unsigned_abs();
        if near(x) && near(y) { Some(Point::new(x, y)) } else { self.out_of_range("the step of a repeat") }
    }

    /// `R#X#Y#`: further holes, each offset from the one before.
    pub(super) fn repeat_hole(&mut self, count: Word, block: &Block) -> Result<(), LimitReached> {
        let times = self.repeat_count(count);
        let Some(step) = self.step_of(block) else { return Ok(()) };
        if step == Point::default() || self.mode == Mode::Rout {
            self.remarks.note(&codes::REPEAT_IN_PLACE, self.place, count.to_string(), "a distance to the next hole");
            return Ok(());
        }
        self.spend(u64::from(times))?;
        for _ in 0..times {
            let next = self.cursor.plus(step);
            let Some(at) = Some(next).filter(|p| Self::in_range(*p)).and_then(|p| self.on_board(p)) else {
                self.out_of_range::<()>(&count.to_string());
                break;
            };
            self.cursor = next;
            self.push(HitShape::Hole { at }, self.place.line);
        }
        Ok(())
    }

    /// `P#X#Y#`: further copies of the last pattern.
    pub(super) fn repeat_pattern(&mut self, count: Word, block: &Block) -> Result<(), LimitReached> {
        let times = self.repeat_count(count);
        let Some(range) = self.last_pattern.clone() else {
            self.remarks.note(&codes::STEP_WITHOUT_PATTERN, self.place, count.to_string(), "a pattern before it");
            return Ok(());
        };
        self.remarks.note(&codes::CANNED, self.place, count.to_string(), "");
        let Some(step) = self.step_of(block) else { return Ok(()) };
        let mut copy = Copy { origin: self.origin, ..Copy::default() };
        self.copies(range, times, step, &mut copy)
    }

    /// Handles `M25`, `M01`, `M02` and `M08`; false where the block is none of theirs.
    pub(super) fn step_and_repeat(&mut self, block: &Block) -> Result<bool, LimitReached> {
        if block.has_m(25) {
            self.pattern = Some(Pattern { start: self.hits.len(), end: None, offset: Point::default() });
            return Ok(true);
        }
        let Some(mut pattern) = self.pattern else { return Ok(self.step_outside(block)) };
        if block.has_m(1) {
            self.close_path(true)?;
            pattern.end = Some(self.hits.len());
            pattern.offset = Point::default();
            self.last_pattern = Some(pattern.start..self.hits.len());
            self.end_pattern();
            self.pattern = Some(pattern);
            return Ok(true);
        }
        if block.has_m(8) {
            self.pattern = None;
            self.end_pattern();
            return Ok(true);
        }
        if block.has_m(2) {
            self.copy_pattern(block, pattern)?;
            return Ok(true);
        }
        Ok(false)
    }

    /// Incremental coordinates start again from zero at the end of a pattern.
    fn end_pattern(&mut self) {
        if self.incremental {
            self.cursor = Point::default();
        }
    }

    fn step_outside(&mut self, block: &Block) -> bool {
        let steps = block.has_m(2) && (block.moves() || block.repeat.is_some());
        if steps {
            let found = "a copy (M02) without a pattern";
            self.remarks.note(&codes::STEP_WITHOUT_PATTERN, self.place, found, "M25 before the pattern");
        }
        steps || block.has_m(8)
    }

    fn copy_pattern(&mut self, block: &Block, mut pattern: Pattern) -> Result<(), LimitReached> {
        let turned = block.has_m(70) || block.has_m(80) || block.has_m(90);
        if !block.moves() && block.repeat.is_none() && !turned {
            pattern.offset = Point::default();
            self.pattern = Some(pattern);
            return Ok(());
        }
        let end = pattern.end.unwrap_or_else(|| {
            self.remarks.note(&codes::GROUP_OPEN, self.place, "a copy (M02) before the end of its pattern", "M01");
            self.hits.len()
        });
        pattern.end = Some(end);
        let times = block.repeat.map_or(1, |word| self.repeat_count(word));
        let Some(step) = self.step_of(block) else { return Ok(()) };
        let mut copy = Copy {
            swap: block.has_m(70),
            negate_x: block.has_m(80),
            negate_y: block.has_m(90),
            offset: pattern.offset,
            origin: self.origin,
        };
        self.copies(pattern.start..end, times, step, &mut copy)?;
        pattern.offset = copy.offset;
        self.pattern = Some(pattern);
        Ok(())
    }

    fn copies(
        &mut self,
        range: std::ops::Range<usize>,
        times: u32,
        step: Point,
        copy: &mut Copy,
    ) -> Result<(), LimitReached> {
        let group = self.hits.get(range.clone()).unwrap_or_default();
        if group.is_empty() {
            return Ok(());
        }
        let corners: u64 = group.iter().map(|h| corner_count(&h.shape)).sum();
        let wanted = u64::from(times);
        self.spend((group.len() as u64).saturating_mul(wanted))?;
        self.spend_vertices(corners.saturating_mul(wanted))?;
        for _ in 0..times {
            copy.offset.x = copy.offset.x.saturating_add(step.x);
            copy.offset.y = copy.offset.y.saturating_add(step.y);
            for index in range.clone() {
                self.copy_hit(index, copy);
            }
        }
        Ok(())
    }

    fn copy_hit(&mut self, index: usize, copy: &Copy) {
        let Some(hit) = self.hits.get(index) else { return };
        let copied = Hit { tool: hit.tool, shape: copy.shape(&hit.shape), line: hit.line };
        if in_range(&copied.shape) {
            self.hits.push(copied);
        } else {
            self.out_of_range::<()>("a copy of the pattern");
        }
    }
}

fn corner_count(shape: &HitShape) -> u64 {
    match shape {
        HitShape::Route { edges, .. } => edges.len() as u64,
        HitShape::Hole { .. } | HitShape::Slot { .. } => 0,
    }
}
