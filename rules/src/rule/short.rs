//! Copper that joins nets which are stated to be apart.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, netlists};
use crate::netlist::{Comparison, Short};
use crate::query::{QueryPlace, Severity, words};

pub(super) const RULE: Rule = Rule { name: "short", group: Group::Copper, page: include_str!("short.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    netlists::each(context, |comparison| {
        [false, true].into_iter().filter_map(|by_part| of(comparison, by_part, context)).collect()
    })
}

fn of(comparison: &Comparison, by_part: bool, context: &Context<'_>) -> Option<Finding> {
    let said =
        |short: &Short| netlists::earlier(context, comparison).flat_map(|c| &c.shorts).any(|s| s.names == short.names);
    let shorts: Vec<&Short> = comparison.shorts.iter().filter(|s| s.by_part.is_some() == by_part && !said(s)).collect();
    if shorts.is_empty() {
        return None;
    }
    let (head, severity) = if by_part {
        (format!("Parts join with their own copper nets that are apart by {}.", comparison.statement), Severity::Note)
    } else {
        (format!("The copper joins nets that are apart by {}.", comparison.statement), Severity::Stop)
    };
    let sentences: Vec<String> = shorts.iter().map(|s| sentence(s)).collect();
    let places: Vec<QueryPlace> = shorts.iter().map(|s| netlists::place(&s.spot, &s.names)).collect();
    let finding = netlists::finding(severity, comparison, &head, &sentences, places);
    Some(if by_part { finding.case("by a part") } else { finding })
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
