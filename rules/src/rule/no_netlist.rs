//! Nothing in the data says what should be joined.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule, netlists};
use crate::netlist::{Comparison, Spot, Unnamed};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "no-netlist", group: Group::Copper, page: include_str!("no_netlist.md"), look };

/// From this product class on, a board is not tested to its own copper unasked.
const TESTED_TO_NETLIST: u8 = 3;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let electrical = &context.facts.electrical;
    if context.board.copper.is_empty() {
        return Outcome::not_run("no copper layer in the data");
    }
    let mut outcome = Outcome { looked_at: context.board.files.len().max(1) as u64, ..Outcome::default() };
    outcome.findings = electrical
        .refused
        .iter()
        .map(|refused| {
            let mut finding = Finding::without_limit(Severity::Ask, LayerRole::Board, Vec::new()).case("does not fit");
            finding.seen = format!("{}.", refused.why.trim_end_matches('.'));
            finding.sources = vec![refused.source];
            finding
        })
        .collect();
    if context.board.netlists.is_empty()
        && electrical.refused.is_empty()
        && !electrical.comparisons.iter().any(|c| c.from_netlist)
    {
        let severity = if context.order.class >= TESTED_TO_NETLIST { Severity::Ask } else { Severity::Note };
        let mut finding = Finding::without_limit(severity, LayerRole::Board, Vec::new());
        finding.seen = match electrical.comparisons.first() {
            Some(c) => format!("The set has no netlist. The copper was compared with {} instead.", c.statement),
            None => "The set has no netlist, and the copper carries no net names.".to_owned(),
        };
        outcome.findings.push(finding);
    }
    for comparison in electrical.comparisons.iter().filter(|c| !c.unnamed.is_empty()) {
        outcome.findings.push(unnamed(comparison));
    }
    outcome
}

/// Copper with several lands that the netlist does not know: told, since it may be a coupon or a shield.
fn unnamed(comparison: &Comparison) -> Finding {
    let sentence = |u: &Unnamed| {
        format!(
            "{} at {} on {}.",
            words::counted(u.lands as usize, "land", "lands"),
            words::point(u.at),
            u.layer.name()
        )
    };
    let sentences: Vec<String> = comparison.unnamed.iter().map(sentence).collect();
    let place = |u: &Unnamed| {
        netlists::place(&Spot { at: u.at, layer: Some(u.layer), sources: vec![u.source], ..Spot::default() }, &[])
    };
    let places = comparison.unnamed.iter().map(place).collect();
    let count = words::counted(comparison.unnamed.len(), "net", "nets");
    let head = format!("{count} of the copper with lands to solder to stand nowhere in {}.", comparison.statement);
    netlists::finding(Severity::Note, comparison, &head, &sentences, places).case("not in the netlist")
}
