//! Hole wall too near the board's edge, or cut by it.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind, HolePlating};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "hole-near-edge", group: Group::Outline, page: include_str!("hole_near_edge.md"), look };

/// Openings of the outline are this large at most where they count as holes.
const OPENING: f64 = 3_500_000.0 / 2.0;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = |plated| context.capability.edge_hole(plated).levels.preferred;
    context.each_fact(FactKind::HoleToEdge, limit(true).max(limit(false)), |fact| {
        if context.holes_of(fact).any(|h| h.kind == HoleKind::Perforation) {
            return None;
        }
        judge(context, fact)
    })
}

/// A small opening that the outline draws, beside the edge or another cut: judged as a non-plated hole. It is silent
/// where the drill data give the opening as well, since the hole is judged then.
fn opening(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let found = context.held(fact, fact.value, context.capability.edge_hole(false))?.capped(Severity::Ask);
    let given = |h: &Hole| h.at().distance(fact.from).min(h.at().distance(fact.to)) <= OPENING;
    if context.board.holes.iter().any(given) {
        return None;
    }
    Some(found.reason("The outline draws the opening; the drill data have no hole there."))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let Some(hole) = context.holes_of(fact).next() else { return opening(context, fact) };
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
