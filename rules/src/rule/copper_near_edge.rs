//! Copper too near the routed edge, or over it.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, at_edge};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "copper-near-edge", group: Group::Outline, page: include_str!("copper_near_edge.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.widest(|inner| context.capability.edge_copper(inner));
    context.each_fact(FactKind::CopperToEdge, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    if context.is_at_half_hole(fact.from) || context.is_at_half_hole(fact.to) {
        return None;
    }
    if at_edge::is_outline(context, fact)
        || at_edge::is_on_run(context, fact.to)
        || at_edge::is_at_fingers(context, fact)
    {
        return None;
    }
    let limit = context.capability.edge_copper(context.is_inner(fact.layer));
    // Copper can always be drawn back, so nothing stops here.
    let found = context.held(fact, fact.value, limit)?.capped(Severity::Ask);
    let over = fact.value <= 0 && found.severity == Severity::Ask;
    Some(
        if over { found.case("over the edge") } else { found }
            .reason("No half-hole lies here that would explain copper at the edge."),
    )
}
