//! The whole way for one set of files: read, place, recognise, measure; then judge as often as wanted.

use crate::board::Board;
use crate::capability::{Capability, Order};
use crate::fact::Facts;
use crate::geometry::Geometry;
use crate::query::{Terms, Verdict};

/// One file of a set, as bytes.
#[derive(Clone, Debug)]
pub struct InputFile {
    /// Path inside the set, with `/`.
    pub path: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// How far the work has come; sent to the caller's callback.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Reading a file: how many are done, of how many.
    Read(usize, usize),
    /// Deciding what each file is.
    Place,
    /// Building the final images: layers done, of how many.
    Image(usize, usize),
    /// Measuring.
    Measure,
    /// Judging and asking.
    Ask,
}

/// A set that has been measured.
#[derive(Debug, Default)]
pub struct Measured {
    /// The board in mind.
    pub board: Board,
    /// Its final images.
    pub geometry: Geometry,
    /// What was measured.
    pub facts: Facts,
}

/// What the user said about files, by path: overrides every other evidence.
pub type Told = std::collections::BTreeMap<String, crate::place::ToldRole>;

/// Reads, places, recognises and measures a set.
#[must_use]
pub fn measure(
    files: &[InputFile],
    told: &Told,
    limits: &landgap_parser::Limits,
    progress: &dyn Fn(Stage),
) -> Measured {
    let board = crate::place::place(files, told, limits, progress);
    crate::measure::measure(board, progress)
}

/// Judges a measured set against a capability profile and an order, and words the queries.
#[must_use]
pub fn judge(measured: &Measured, capability: &Capability, order: &Order) -> Verdict {
    judge_under(measured, capability, order, &Terms::default())
}

/// The same in a shop's own words and under what customer and shop have agreed on before.
#[must_use]
pub fn judge_under(measured: &Measured, capability: &Capability, order: &Order, terms: &Terms) -> Verdict {
    crate::rule::judge(measured, capability, order, terms)
}
