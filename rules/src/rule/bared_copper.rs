//! An opening that bares copper of another net, or comes too near it.

use landgap_parser::Nm;

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "bared-copper", group: Group::Mask, page: include_str!("bared_copper.md"), look };

/// Copper bared by no more than this is covered by making the opening smaller, where there is room.
const SHALLOW: Nm = 50_000;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.cover(&context.order).levels.minimum;
    side::each_fact(context, FactKind::OpeningToCopper, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    if context.is_at_half_hole(fact.from) {
        return None;
    }
    let mut limit = context.capability.cover(&context.order);
    // Openings are made smaller at the shop as a matter of course: nothing is said above the minimum, nothing asked above zero.
    limit.levels.preferred = limit.levels.minimum;
    let bare = fact.value + fact.uncertainty < 0;
    let needed = context.capability.clearance(&context.order).levels.minimum + limit.levels.minimum;
    let room = fact.value >= -SHALLOW && fact.length.is_some_and(|apart| apart >= needed);
    let asked = bare && !room;
    let found = context.held(fact, fact.value, limit)?.capped(if asked { Severity::Ask } else { Severity::Note });
    Some(if asked {
        found.case("bare")
    } else if bare {
        found.case("bare").reason(format!(
            "The copper is bared by {} at most and lies at least {} from the land: a smaller opening has room for both.",
            words::millimetres(SHALLOW),
            words::millimetres(needed)
        ))
    } else {
        found
    })
}
