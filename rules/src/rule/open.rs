//! Copper in parts that is stated to be one net, and stated points without copper.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, netlists};
use crate::netlist::{Comparison, Lost, Open};
use crate::query::{QueryPlace, Severity, words};

pub(super) const RULE: Rule = Rule { name: "open", group: Group::Copper, page: include_str!("open.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    netlists::each(context, |comparison| {
        parts(comparison, context).into_iter().chain(lost(comparison, false)).chain(lost(comparison, true)).collect()
    })
}

fn parts(comparison: &Comparison, context: &Context<'_>) -> Option<Finding> {
    let said = |open: &Open| netlists::earlier(context, comparison).flat_map(|c| &c.opens).any(|o| o.name == open.name);
    let opens: Vec<&Open> = comparison.opens.iter().filter(|o| !said(o)).collect();
    if opens.is_empty() {
        return None;
    }
    let head = format!("The copper leaves in parts what is one net by {}.", comparison.statement);
    let sentence = |o: &&Open| format!("{} is in {} parts: {}.", o.name, o.parts, o.found);
    let sentences: Vec<String> = opens.iter().map(sentence).collect();
    let places: Vec<QueryPlace> =
        opens.iter().map(|o| netlists::place(&o.spot, std::slice::from_ref(&o.name))).collect();
    Some(netlists::finding(Severity::Stop, comparison, &head, &sentences, places))
}

/// Points without any copper, or those where some passes but the land is missing.
fn lost(comparison: &Comparison, passed: bool) -> Option<Finding> {
    let meant: Vec<&Lost> = comparison.lost.iter().filter(|l| l.land.is_some() == passed).collect();
    if meant.is_empty() {
        return None;
    }
    let count = words::counted(meant.len(), "point", "points");
    let by = &comparison.statement;
    let head = if passed {
        format!("{count} of {by} have no land of the stated size; a hole or track alone meets them.")
    } else {
        format!("{count} of {by} stand where there is no copper.")
    };
    let sentence = |l: &&Lost| {
        let pin = if l.pin.is_empty() { String::new() } else { format!(" ({})", l.pin) };
        let on = l.land.map_or_else(String::new, |layer| format!(" on {}", layer.name()));
        format!("{}{pin} at {}{on}.", l.name, words::point(l.at))
    };
    let sentences: Vec<String> = meant.iter().map(sentence).collect();
    let place = |l: &&Lost| QueryPlace { layer: l.land, ..netlists::bare(l.at, &l.name, l.source) };
    let places: Vec<QueryPlace> = meant.iter().map(place).collect();
    let case = if passed { "no land" } else { "no copper" };
    Some(netlists::finding(Severity::Ask, comparison, &head, &sentences, places).case(case))
}
