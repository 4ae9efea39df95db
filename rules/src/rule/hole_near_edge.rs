//! Hole wall too near the board's edge, or cut by it.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{HoleKind, HolePlating};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "hole-near-edge", group: Group::Outline, page: include_str!("hole_near_edge.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = |plated| context.capability.edge_hole(plated).levels.preferred;
    context.each_fact(FactKind::HoleToEdge, limit(true).max(limit(false)), |fact| {
        if context.holes_of(fact).any(|h| h.kind == HoleKind::Perforation) {
            return None;
        }
        judge(context, fact)
    })
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let hole = context.holes_of(fact).next()?;
    if hole.kind == HoleKind::HalfHole {
        return None;
    }
    let plated = hole.plating != HolePlating::Unplated;
    // A hole can be moved or accepted as it breaks out, so nothing stops here.
    let found = context.held(fact, fact.value, context.capability.edge_hole(plated))?.capped(Severity::Ask);
    let cut = fact.value <= 0 && found.severity == Severity::Ask;
    let found = if cut { found.case("cut by the edge") } else { found };
    Some(found.reason("The hole is neither a half-hole nor part of a break-off perforation."))
}
