//! Inner corner of the edge drawn sharper than the cutter leaves it.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "sharp-inner-corner", group: Group::Outline, page: include_str!("sharp_inner_corner.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.corner_radius().levels.preferred;
    context.each_fact(FactKind::InnerCorner, widest, |fact| judge(context, fact))
}

/// A corner keeps the cutter's radius and nothing breaks, so it is only told.
fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let applied = context.capability.corner_radius();
    let relieved = !fact.holes.is_empty();
    let slot = fact.length.is_some_and(|width| width <= 2 * applied.levels.preferred + fact.uncertainty);
    if relieved || slot {
        return None;
    }
    let found = context.held(fact, fact.value, applied)?.capped(Severity::Note);
    Some(
        found.reason(
            "No hole relieves the corner, and the opening is wider than the cutter, so that something may go in.",
        ),
    )
}
