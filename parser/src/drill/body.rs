//! What each command does.

use super::block::Block;
use super::codes;
use super::hits::HitShape;
use super::machine::{Machine, Mode, Motion, Pending};
use super::words::Word;
use crate::limits::LimitReached;
use crate::point::Point;

impl Machine<'_> {
    /// Carries out one block.
    pub(super) fn run(&mut self, block: &Block) -> Result<(), LimitReached> {
        if block.has_g(4) {
            return Ok(());
        }
        self.set_modes(block)?;
        if let Some(tool) = block.tool {
            self.close_path(true)?;
            self.select(tool);
        }
        if block.has_g(93) {
            self.set_work_zero(block);
            return Ok(());
        }
        if self.step_and_repeat(block)? || self.stop(block)? {
            return Ok(());
        }
        self.act(block)?;
        self.raise_or_lower(block)
    }

    fn act(&mut self, block: &Block) -> Result<(), LimitReached> {
        if let Some(count) = block.repeat {
            return self.repeat_hole(count, block);
        }
        if let Some(count) = block.pattern {
            return self.repeat_pattern(count, block);
        }
        if block.has_g(32) || block.has_g(33) {
            return self.inside_circle(block);
        }
        if block.has_g(84) {
            return self.drilled_circle(block);
        }
        if block.has_g(85) || block.has_g(87) {
            return self.slot(block);
        }
        let begins = self.begin_canned(block);
        if begins || !block.moves() {
            return Ok(());
        }
        self.go(block)
    }

    fn set_modes(&mut self, block: &Block) -> Result<(), LimitReached> {
        for code in &block.g {
            match code {
                0 => self.rout(Motion::Rapid)?,
                1 => self.rout(Motion::Straight)?,
                2 => self.rout(Motion::Arc { counter_clockwise: false })?,
                3 => self.rout(Motion::Arc { counter_clockwise: true })?,
                5 => self.drill()?,
                81 if self.program.command_set != Some(2) => self.drill()?,
                90 => self.incremental = false,
                91 => self.incremental = true,
                41 | 42 => {
                    let side = if *code == 41 { "left" } else { "right" };
                    let found = format!("cutter compensation {side} (G{code})");
                    self.remarks.note(&codes::COMPENSATION, self.place, found, "the path of the tool's axis");
                }
                34..=39 | 45..=48 => self.remarks.note(&codes::CAMERA, self.place, format!("G{code}"), ""),
                4 | 32 | 33 | 40 | 80..=85 | 87 | 93 => {}
                _ => self.remarks.note(&codes::CODE_UNKNOWN, self.place, format!("G{code}"), ""),
            }
        }
        self.note_codes(block);
        Ok(())
    }

    fn note_codes(&mut self, block: &Block) {
        for code in &block.m {
            match code {
                60 => self.remarks.note(&codes::SCALING, self.place, "scaling (M60)", ""),
                50..=52 => self.remarks.note(&codes::CAMERA, self.place, format!("M{code}"), ""),
                97 => self.pending = Pending::Text,
                0..=2 | 6 | 8 | 9 | 14..=18 | 25 | 30 | 61..=63 | 70..=72 | 80 | 90 | 95 | 96 => {}
                _ => self.remarks.note(&codes::CODE_UNKNOWN, self.place, format!("M{code}"), ""),
            }
        }
    }

    fn drill(&mut self) -> Result<(), LimitReached> {
        self.close_path(true)?;
        self.mode = Mode::Drill;
        Ok(())
    }

    fn rout(&mut self, motion: Motion) -> Result<(), LimitReached> {
        if motion == Motion::Rapid {
            self.close_path(true)?;
        }
        self.mode = Mode::Rout;
        self.motion = motion;
        Ok(())
    }

    fn set_work_zero(&mut self, block: &Block) {
        let read = |machine: &mut Self, word: Option<Word>| word.map_or(Some(0), |w| machine.length(w));
        let (x, y) = (read(self, block.x), read(self, block.y));
        if let (Some(x), Some(y)) = (x, y) {
            let origin = Point::new(x, y);
            let near = x.checked_abs().is_some() && y.checked_abs().is_some() && Self::in_range(origin);
            if near {
                self.origin = origin;
                self.remarks.note(&codes::WORK_ZERO, self.place, "the zero point is moved (G93)", "");
            } else {
                self.out_of_range::<()>("the zero point");
            }
        }
    }

    /// A stop or an end. Their coordinates move the table and make no hole.
    fn stop(&mut self, block: &Block) -> Result<bool, LimitReached> {
        if block.has_m(30) {
            self.ended = true;
        } else if block.has_m(0) || block.has_m(2) {
            self.close_path(true)?;
            let work_follows = self.line_index.saturating_add(1) < self.program.last_work;
            self.ended = !work_follows;
            if work_follows && !self.program.selects_tools {
                self.next_section();
            } else if work_follows {
                let code = if block.has_m(0) { "M00" } else { "M02" };
                let found = format!("hits follow {code}");
                self.remarks.note(&codes::STOP_MID_FILE, self.place, found, "the end of the program");
            }
        } else if block.has_m(1) {
            self.remarks.note(&codes::OPTIONAL_STOP, self.place, "M01 outside a pattern", "");
        }
        Ok(self.ended || block.has_m(0) || block.has_m(2) || block.has_m(6) || block.has_m(9))
    }

    /// A coordinate: a hole, a corner, a move or a cut.
    fn go(&mut self, block: &Block) -> Result<(), LimitReached> {
        let Some(to) = self.target(block.x, block.y, self.cursor) else { return Ok(()) };
        if self.pending != Pending::Nothing {
            self.cursor = to;
            return self.feed_canned(to);
        }
        let camera_only = block.g.iter().any(|g| matches!(g, 34..=37 | 39 | 45..=47));
        if camera_only {
            return Ok(());
        }
        let from = std::mem::replace(&mut self.cursor, to);
        if self.mode == Mode::Drill || block.has_g(38) || block.has_g(48) {
            return self.hole(to);
        }
        self.cut(block, from, to)
    }

    /// `X#Y#G85X#Y#`: a straight slot between two axes.
    fn slot(&mut self, block: &Block) -> Result<(), LimitReached> {
        let Some(from) = self.target(block.x, block.y, self.cursor) else { return Ok(()) };
        let Some(to) = self.target(block.x2, block.y2, from) else { return Ok(()) };
        self.cursor = to;
        if from == to {
            return self.hole(to);
        }
        self.spend(1)?;
        if let (Some(from), Some(to)) = (self.on_board(from), self.on_board(to)) {
            self.push(HitShape::Slot { from, to }, self.place.line);
        }
        Ok(())
    }
}
