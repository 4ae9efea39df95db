//! From a program and a format to holes in nanometres.

use super::block::{self, Block};
use super::codes;
use super::format::literal_nm;
use super::hits::{Format, HoleImage, Tool};
use super::machine::Machine;
use super::program::{Program, ToolDeclaration};
use crate::length::{COORDINATE_MAX, Decimal, Nm};
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remark, Severity};

/// Sizes in comments are rounded; less than this is no difference.
const SIZE_SLACK: u64 = 10_000;

impl Program {
    /// The program in nanometres, its numbers read by `format`.
    ///
    /// # Errors
    /// [`LimitReached`] where repeats ask for more hits, or paths for more corners, than `limits` allow.
    pub fn decode(&self, format: &Format, limits: &Limits) -> Result<HoleImage, LimitReached> {
        let step = self.step(format);
        let mut machine = Machine::new(self, format, limits, step);
        machine.declare_tools();
        for (index, line) in self.lines.iter().enumerate() {
            machine.place = line.place;
            machine.line_index = index;
            let mut blocks = block::blocks(self.words(line), self.command_set);
            machine.prepare(&mut blocks, line.tool)?;
            for block in &blocks {
                machine.run(block)?;
            }
            if machine.ended {
                break;
            }
        }
        machine.place = if machine.ended { machine.place } else { self.end };
        machine.close_path(true)?;
        machine.last_remarks();
        let remarks = merged(&self.remarks, machine.remarks.into_sorted());
        Ok(HoleImage { format: *format, step, tools: machine.tools, hits: machine.hits, remarks })
    }

    /// Smallest step of the numbers, at least one nanometre.
    fn step(&self, format: &Format) -> Nm {
        let of_points = u32::from(self.evidence.digits.most_decimals());
        let decimals = if self.all_decimal { of_points } else { format.decimals };
        crate::length::scale(1, decimals.min(18), format.unit.nm()).unwrap_or(1).max(1)
    }
}

impl Machine<'_> {
    fn declare_tools(&mut self) {
        for declared in &self.program.tools {
            self.place = declared.place;
            let diameter = self.declared_size(declared);
            self.tools.push(Tool {
                number: declared.number,
                diameter,
                plating: declared.plating,
                function: declared.function.clone(),
                tolerance: self.declared_tolerance(declared),
                line: declared.place.line,
            });
        }
    }

    fn declared_tolerance(&self, declared: &ToolDeclaration) -> Option<(Nm, Nm)> {
        let length = |d: Decimal| d.to_nm(self.format.unit).filter(|v| (0..=COORDINATE_MAX).contains(v));
        let (plus, minus) = declared.tolerance?;
        Some((length(plus)?, length(minus)?))
    }

    fn declared_size(&mut self, declared: &ToolDeclaration) -> Option<Nm> {
        let literal = self.program.evidence.whole_units;
        let unit = self.format.unit;
        let written = declared.size.filter(|n| n.digits > 0 && !n.negative);
        let size = written.and_then(|n| if literal { literal_nm(&n, unit) } else { self.format.nm(&n) });
        let size = size.filter(|s| *s > 0);
        if let Some(number) = written.filter(|_| size.is_none_or(|s| s > COORDINATE_MAX)) {
            let found = format!("T{} with diameter {number}", declared.number);
            self.remarks.note(&codes::OUT_OF_RANGE, declared.place, found, "a diameter within 1 m");
        }
        let size = size.filter(|s| *s <= COORDINATE_MAX);
        let comment = declared.comment.size.and_then(|s| s.nm(unit)).filter(|s| (1..=COORDINATE_MAX).contains(s));
        if let (Some(size), Some(comment)) = (size, comment)
            && size.abs_diff(comment) > SIZE_SLACK
        {
            let found = format!("T{} is {} in its declaration", declared.number, millimetres(size));
            let expected = format!("{}, as in the comment on line {}", millimetres(comment), declared.comment.line);
            self.remarks.note(&codes::TOOL_DIFFERS, declared.place, found, expected);
        }
        // A size written as zero is an error of its own and not filled in from elsewhere.
        if declared.size.is_some() { size } else { comment }
    }

    fn prepare(&mut self, blocks: &mut [Block], declared: Option<u32>) -> Result<(), LimitReached> {
        if blocks.len() > 1 {
            let found = format!("{} coordinates on one line", blocks.len());
            self.remarks.note(&codes::SEVERAL_ON_LINE, self.place, found, "one coordinate on a line");
        }
        if let (Some(index), Some(first)) = (declared, blocks.first_mut()) {
            self.close_path(true)?;
            first.tool = None;
            self.select_declared(index);
        }
        Ok(())
    }

    fn last_remarks(&mut self) {
        if self.program.remarks.iter().any(|r| r.code.severity == Severity::Fatal) {
            return;
        }
        if !self.ended {
            let found = "the file ends without an end of program";
            self.remarks.note(&codes::MISSING_END, self.program.end, found, "M30 on the last line");
        }
        if self.hits.is_empty() {
            self.remarks.note(&codes::NO_HITS, self.program.end, "the program makes no hole", "");
        } else if !self.program.stated_fully {
            let found = format!("the numbers were read as {}", self.format.words());
            self.remarks.note(&codes::FORMAT_ASSUMED, Place::default(), found, "");
        }
        self.tool_remarks();
    }

    fn tool_remarks(&mut self) {
        let mut counts = vec![0u64; self.tools.len()];
        for hit in &self.hits {
            if let Some(count) = counts.get_mut(hit.tool as usize) {
                *count = count.saturating_add(1);
            }
        }
        for (index, (tool, count)) in self.tools.iter().zip(&counts).enumerate() {
            let place = Place { line: tool.line, column: 1, offset: 0 };
            let declared = self.program.tools.get(index);
            let sized = declared.is_some_and(|d| d.size.is_some());
            if *count > 0 && tool.diameter.is_none() && !sized {
                let unnamed = tool.number == 0 || (declared.is_none() && !self.program.selects_tools);
                let (code, found) = match declared {
                    Some(declared) => (&codes::TOOL_WITHOUT_DIAMETER, format!("T{} has no diameter", declared.number)),
                    None => (&codes::TOOL_UNDECLARED, format!("T{} is used and never declared", tool.number)),
                };
                if !unnamed {
                    self.remarks.note(code, place, found, "a tool line such as T01C0.300");
                }
            }
            let quantity = declared.and_then(|d| d.comment.quantity).map(u64::from);
            if let Some(quantity) = quantity.filter(|q| q != count) {
                let found = format!("T{} makes {count} hits", tool.number);
                self.remarks.note(&codes::QUANTITY, place, found, format!("{quantity}, as in the comment"));
            }
        }
    }
}

fn millimetres(size: Nm) -> String {
    format!("{}.{:06} mm", size / 1_000_000, size % 1_000_000)
}

/// The remarks of reading and decoding together, in order of line.
fn merged(reading: &[Remark], decoding: Vec<Remark>) -> Vec<Remark> {
    let mut all = reading.to_vec();
    for remark in decoding {
        match all.iter_mut().find(|r| std::ptr::eq(r.code, remark.code)) {
            Some(earlier) => earlier.more = earlier.more.saturating_add(remark.more).saturating_add(1),
            None => all.push(remark),
        }
    }
    all.sort_by_key(|r| (r.place.line, r.place.offset));
    all
}
