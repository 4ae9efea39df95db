//! Hole wall too near copper it does not join.

use super::context::{Context, with_plating_doubt};
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{HoleKind, HolePlating};
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "copper-near-hole", group: Group::Copper, page: include_str!("copper_near_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = |plated, inner| context.capability.hole_to_copper(plated, inner).levels.preferred;
    let inner = if context.board.copper.len() > 2 { limit(true, true) } else { 0 };
    let widest = limit(false, false).max(limit(true, false)).max(inner);
    context.each_fact(FactKind::HoleToCopper, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let hole = context.holes_of(fact).next()?;
    let plated = hole.plating != HolePlating::Unplated;
    let own_net = plated && matches!(fact.nets.as_slice(), [a, b] if a == b);
    if hole.kind == HoleKind::HalfHole || own_net {
        return None;
    }
    let allowance = context.capability.allowance(hole);
    let limit = context.capability.hole_to_copper(plated, context.is_inner(fact.layer));
    let found = context.held(fact, fact.value - (allowance + 1) / 2, limit)?.capped(Severity::Ask);
    let found = if plated { found } else { found.case("non-plated hole") };
    let found = found.reason(format!(
        "As drawn, from the finished hole, the distance is {}; the tool is {} larger across.",
        words::length(fact.value),
        words::millimetres(allowance)
    ));
    Some(with_plating_doubt(found, hole))
}
