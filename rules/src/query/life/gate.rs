//! When a part is free to tool.

use serde::Serialize;

use super::line::Line;
use super::state::State;
use super::text::Weight;

/// A line that keeps its part from tooling.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Open {
    /// The line.
    pub number: u32,
    /// Where it stands.
    pub state: State,
    /// Its title.
    pub title: String,
}

/// Whether a part is free to tool.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Gate {
    /// Whether it is.
    pub free: bool,
    /// What keeps it.
    pub open: Vec<Open>,
}

/// The gate of a part's lines. A note needs no answer: once it is with the customer it keeps nothing.
#[must_use]
pub fn gate(lines: &[Line]) -> Gate {
    let told = |l: &Line| l.severity == Weight::Note && l.state == State::WithCustomer;
    let open: Vec<Open> = lines
        .iter()
        .filter(|l| l.state.keeps_from_tooling() && !told(l))
        .map(|l| Open {
            number: l.number,
            state: l.state,
            title: l.latest().map_or_else(String::new, |v| v.text.title.clone()),
        })
        .collect();
    Gate { free: open.is_empty(), open }
}
