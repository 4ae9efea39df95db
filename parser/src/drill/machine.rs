//! The state a control would be in, and the few things every command does with it.

use std::collections::BTreeMap;

use super::block::is_readable;
use super::codes;
use super::format::literal_nm;
use super::hits::{Format, Hit, HitShape, Tool};
use super::program::Program;
use super::words::{Value, Word};
use crate::image::Edge;
use crate::length::{COORDINATE_MAX, Nm};
use crate::limits::{LimitReached, Limits};
use crate::point::Point;
use crate::remark::{Place, Remarks};

/// What a coordinate means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Mode {
    /// A hole.
    Drill,
    /// A move or a cut.
    Rout,
}

/// How the tool gets to the next coordinate while routing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Motion {
    /// Above the board.
    Rapid,
    /// Straight.
    Straight,
    /// Along an arc.
    Arc { counter_clockwise: bool },
}

/// How an arc is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ArcBy {
    Radius(Nm),
    Centre(Nm, Nm),
}

/// What the next coordinates are taken for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Pending {
    Nothing,
    /// The place of a text.
    Text,
    /// Corners of a two-row pattern.
    Rows {
        pitch: Nm,
        row: Nm,
        first: Option<Point>,
    },
    /// Opposite pins of a round pattern.
    Ring {
        first: Option<Point>,
    },
}

/// A path being cut.
#[derive(Clone, Debug)]
pub(super) struct Path {
    pub start: Point,
    pub edges: Vec<Edge>,
    pub line: u32,
}

/// An open step-and-repeat pattern.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pattern {
    pub start: usize,
    pub end: Option<usize>,
    pub offset: Point,
}

pub(super) struct Machine<'a> {
    pub program: &'a Program,
    pub format: &'a Format,
    pub limits: &'a Limits,
    pub step: Nm,
    pub remarks: Remarks,
    pub hits: Vec<Hit>,
    pub tools: Vec<Tool>,
    pub place: Place,
    pub line_index: usize,
    pub cursor: Point,
    pub origin: Point,
    pub incremental: bool,
    pub mode: Mode,
    pub motion: Motion,
    pub path: Option<Path>,
    pub arc: Option<ArcBy>,
    pub pattern: Option<Pattern>,
    pub last_pattern: Option<std::ops::Range<usize>>,
    pub pending: Pending,
    pub section: u32,
    pub ended: bool,
    selected: Option<u32>,
    by_number: BTreeMap<u32, u32>,
    asked: u64,
    vertices: u64,
}

impl<'a> Machine<'a> {
    pub(super) fn new(program: &'a Program, format: &'a Format, limits: &'a Limits, step: Nm) -> Self {
        let mut by_number = BTreeMap::new();
        for (index, tool) in program.tools.iter().enumerate() {
            by_number.entry(tool.number).or_insert(index as u32);
        }
        Self {
            program,
            format,
            limits,
            step,
            remarks: Remarks::default(),
            hits: Vec::new(),
            tools: Vec::new(),
            place: Place::default(),
            line_index: 0,
            cursor: Point::default(),
            origin: Point::default(),
            incremental: false,
            mode: Mode::Drill,
            motion: Motion::Rapid,
            path: None,
            arc: None,
            pattern: None,
            last_pattern: None,
            pending: Pending::Nothing,
            section: 0,
            ended: false,
            selected: None,
            by_number,
            asked: 0,
            vertices: 0,
        }
    }

    /// Pays for `count` hits before they are made, dropped ones included.
    pub(super) fn spend(&mut self, count: u64) -> Result<(), LimitReached> {
        self.asked = self.asked.saturating_add(count);
        Limits::check("hits", self.limits.hits, self.asked, self.place.line)
    }

    /// Pays for the corners of routed paths.
    pub(super) fn spend_vertices(&mut self, count: u64) -> Result<(), LimitReached> {
        self.vertices = self.vertices.saturating_add(count);
        Limits::check("vertices", self.limits.vertices, self.vertices, self.place.line)
    }

    /// A length as written; a bare letter means zero.
    pub(super) fn length(&mut self, word: Word) -> Option<Nm> {
        if !is_readable(&word) {
            let place = Place { column: word.column, ..self.place };
            let found = format!("the number behind {}", char::from(word.letter));
            self.remarks.note(&codes::NUMBER_UNREADABLE, place, found, "a number of at most 18 digits");
            return None;
        }
        let Value::Number(number) = word.value else { return Some(0) };
        if self.program.evidence.whole_units {
            return literal_nm(&number, self.format.unit);
        }
        if self.format.is_long(&number) {
            let found = format!("{word} has {} digits", number.length);
            let expected = format!("at most {} digits", self.format.integer.saturating_add(self.format.decimals));
            self.remarks.note(&codes::NUMBER_LONG, self.place, found, expected);
        }
        self.format.nm(&number).or_else(|| self.out_of_range(&word.to_string()))
    }

    pub(super) fn out_of_range<T>(&mut self, found: &str) -> Option<T> {
        self.remarks.note(&codes::OUT_OF_RANGE, self.place, found, "coordinates within 1 m of the origin");
        None
    }

    pub(super) const fn in_range(point: Point) -> bool {
        point.x.saturating_abs() <= COORDINATE_MAX && point.y.saturating_abs() <= COORDINATE_MAX
    }

    fn axis(&mut self, word: Option<Word>, now: Nm) -> Option<Nm> {
        let Some(word) = word else { return Some(now) };
        let value = self.length(word)?;
        let sum = if self.incremental { now.checked_add(value) } else { Some(value) };
        let near = sum.filter(|s| s.checked_abs().is_some_and(|a| a <= COORDINATE_MAX));
        near.or_else(|| self.out_of_range(&word.to_string()))
    }

    /// Where a coordinate leads from `from`; an axis that is left out stays.
    pub(super) fn target(&mut self, x: Option<Word>, y: Option<Word>, from: Point) -> Option<Point> {
        let x = self.axis(x, from.x);
        let y = self.axis(y, from.y);
        Some(Point::new(x?, y?))
    }

    /// A point of the program as a point of the board.
    pub(super) fn on_board(&mut self, point: Point) -> Option<Point> {
        let moved = self.origin.plus(point);
        if Self::in_range(moved) { Some(moved) } else { self.out_of_range("a point moved beyond the range") }
    }

    /// Drills one hole.
    pub(super) fn hole(&mut self, point: Point) -> Result<(), LimitReached> {
        self.spend(1)?;
        if let Some(at) = self.on_board(point) {
            self.push(HitShape::Hole { at }, self.place.line);
        }
        Ok(())
    }

    /// Keeps a hit that has been paid for.
    pub(super) fn push(&mut self, shape: HitShape, line: u32) {
        let tool = self.current_tool();
        self.hits.push(Hit { tool, shape, line });
    }

    /// The tool in the spindle, or the one that is meant where the program names none.
    pub(super) fn current_tool(&mut self) -> u32 {
        if let Some(tool) = self.selected {
            return tool;
        }
        let by_order = !self.program.selects_tools;
        let number = if by_order { self.section.saturating_add(1) } else { 0 };
        let tool = if by_order && (self.section as usize) < self.program.tools.len() {
            let found = format!("hits without a tool code were given to tool {number} of the list");
            self.remarks.note(&codes::TOOL_BY_ORDER, self.place, found, "a tool code (T) before the first coordinate");
            self.section
        } else {
            let expected = "a tool code (T) before the first coordinate";
            self.remarks.note(&codes::TOOL_NONE, self.place, "hits without a tool", expected);
            self.extra_tool(number)
        };
        self.selected = Some(tool);
        tool
    }

    fn extra_tool(&mut self, number: u32) -> u32 {
        let index = self.tools.len() as u32;
        let line = self.place.line;
        self.tools.push(Tool { number, diameter: None, plating: None, function: None, tolerance: None, line });
        index
    }

    pub(super) fn next_section(&mut self) {
        self.section = self.section.saturating_add(1);
        self.selected = None;
    }

    /// Takes the tool a line declares.
    pub(super) fn select_declared(&mut self, index: u32) {
        if let Some(tool) = self.program.tools.get(index as usize) {
            self.by_number.insert(tool.number, index);
        }
        self.selected = Some(index);
    }

    /// Changes the tool. Four digits that name no declared tool are a tool and a compensation index.
    pub(super) fn select(&mut self, word: Word) {
        let Some(number) = word.count() else {
            self.remarks.note(&codes::MALFORMED, self.place, word.to_string(), "a tool number");
            return;
        };
        if number == 0 {
            self.selected = None;
            return;
        }
        let four = word.number().is_some_and(|n| n.length == 4);
        let mut wanted = number;
        if four && number >= 100 && !self.by_number.contains_key(&number) {
            wanted = number / 100;
            let found = format!("{word} was read as tool {wanted} with compensation index {}", number % 100);
            self.remarks.note(&codes::TOOL_INDEX, self.place, found, "");
        }
        let known = self.by_number.get(&wanted).copied();
        let index = known.unwrap_or_else(|| self.extra_tool(wanted));
        self.by_number.insert(wanted, index);
        self.selected = Some(index);
    }

    /// Diameter of the tool in the spindle.
    pub(super) fn diameter(&mut self) -> Option<Nm> {
        let tool = self.current_tool();
        self.tools.get(tool as usize).and_then(|t| t.diameter)
    }
}
