//! Copper that joins nets which are stated to be apart.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, netlists};
use crate::netlist::{Comparison, Short};
use crate::query::{QueryPlace, Severity, words};

pub(super) const RULE: Rule = Rule { name: "short", group: Group::Copper, page: include_str!("short.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    netlists::each(context, |comparison| {
        [Why::Unknown, Why::Part, Why::Declared].into_iter().filter_map(|why| of(comparison, why, context)).collect()
    })
}

/// What speaks for a short being meant.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Why {
    /// Nothing.
    Unknown,
    /// The copper of one part joins its own pins.
    Part,
    /// The data say so.
    Declared,
}

impl Why {
    const fn of(short: &Short) -> Self {
        match (short.declared, short.by_part.is_some()) {
            (true, _) => Self::Declared,
            (false, true) => Self::Part,
            (false, false) => Self::Unknown,
        }
    }
}

fn of(comparison: &Comparison, why: Why, context: &Context<'_>) -> Option<Finding> {
    let said =
        |short: &Short| netlists::earlier(context, comparison).flat_map(|c| &c.shorts).any(|s| s.names == short.names);
    let shorts: Vec<&Short> = comparison.shorts.iter().filter(|s| Why::of(s) == why && !said(s)).collect();
    if shorts.is_empty() {
        return None;
    }
    let by = &comparison.statement;
    let (head, severity) = match why {
        Why::Unknown => (format!("The copper joins nets that are apart by {by}."), Severity::Stop),
        Why::Part => (format!("Parts join with their own copper nets that are apart by {by}."), Severity::Note),
        Why::Declared => (format!("The copper joins nets that {by} ties on purpose."), Severity::Note),
    };
    let sentences: Vec<String> = shorts.iter().map(|s| sentence(s)).collect();
    let places: Vec<QueryPlace> = shorts.iter().map(|s| netlists::place(&s.spot, &s.names)).collect();
    let finding = netlists::finding(severity, comparison, &head, &sentences, places);
    Some(match why {
        Why::Unknown => finding,
        Why::Part => finding.case("by a part"),
        Why::Declared => finding.case("declared"),
    })
}

fn sentence(short: &Short) -> String {
    let more = short.names.len().saturating_sub(4);
    let mut names: Vec<String> = short.names.iter().take(4).cloned().collect();
    if more > 0 {
        names.push(words::counted(more, "further net", "further nets"));
    }
    match &short.by_part {
        Some(part) => format!("{} are joined by the copper of {part}.", words::listed(&names)),
        None => format!("{}: {}.", words::listed(&names), short.found),
    }
}
