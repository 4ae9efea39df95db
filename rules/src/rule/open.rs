//! Copper in parts that is stated to be one net, and stated points without copper.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, netlists};
use crate::netlist::{Comparison, Open};
use crate::query::{QueryPlace, Severity, words};

pub(super) const RULE: Rule = Rule { name: "open", group: Group::Copper, page: include_str!("open.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    netlists::each(context, |comparison| parts(comparison, context).into_iter().chain(lost(comparison)).collect())
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

fn lost(comparison: &Comparison) -> Option<Finding> {
    if comparison.lost.is_empty() {
        return None;
    }
    let count = words::counted(comparison.lost.len(), "point", "points");
    let head = format!("{count} of {} stand where there is no copper.", comparison.statement);
    let sentence = |l: &crate::netlist::Lost| {
        let pin = if l.pin.is_empty() { String::new() } else { format!(" ({})", l.pin) };
        format!("{}{pin} at {}.", l.name, words::point(l.at))
    };
    let sentences: Vec<String> = comparison.lost.iter().map(sentence).collect();
    let places: Vec<QueryPlace> = comparison.lost.iter().map(|l| netlists::bare(l.at, &l.name, l.source)).collect();
    Some(netlists::finding(Severity::Ask, comparison, &head, &sentences, places).case("no copper"))
}
