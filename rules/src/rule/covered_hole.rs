//! Mask over a non-plated hole.

use landgap_parser::Nm;

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::board::{Hole, HolePlating};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "covered-hole", group: Group::Mask, page: include_str!("covered_hole.md"), look };

/// Openings drawn as large as the hole, give or take the rounding between inch and millimetre, are enlarged at the shop
/// like those of lands.
const AS_LARGE: Nm = 10_000;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    side::each_fact(context, FactKind::HoleToMask, 0, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let hole = context.holes_of(fact).next().filter(|h| h.plating == HolePlating::Unplated)?;
    // The shop frees such holes as a matter of course: only mask drawn over the hole is told.
    if fact.value + fact.uncertainty >= -AS_LARGE {
        return None;
    }
    let found = context.held(fact, fact.value, context.capability.hole_to_mask())?.capped(Severity::Note);
    Some(if is_covered(hole, fact) { found.reason("Mask covers the whole hole.") } else { found })
}

fn is_covered(hole: &Hole, fact: &Fact) -> bool {
    hole.finished.is_some_and(|size| fact.value <= -size / 2)
}
