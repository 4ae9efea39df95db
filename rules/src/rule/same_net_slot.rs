//! Strips free of copper within one net, so narrow that the resist in them may lift.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "same-net-slot", group: Group::Copper, page: include_str!("same_net_slot.md"), look };

/// From so many times its width on, a slot may be meant.
const MEANT: i64 = 20;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.same_net_slot();
    context.each_fact(FactKind::Slot, limit.levels.preferred, |fact| judge(context, fact))
}

/// The turns of a coil or meander must stay apart as tracks of different nets do.
fn turns(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let limit = context.capability.gap(context.is_inner(fact.layer), &context.order);
    let found = context.held(fact, fact.value, limit)?.capped(Severity::Ask).case("turns");
    Some(found.reason("Both sides belong to a coil or meander, so the gap is meant and held to the limit for gaps."))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    // A hairline between two strokes of one filled area is not drawn at all.
    if fact.value < context.capability.values.copper.seam.value {
        return None;
    }
    if context.within(fact, &[FeatureKind::Coil, FeatureKind::Meander]).is_some() {
        return turns(context, fact);
    }
    let found = context.held(fact, fact.value, context.capability.same_net_slot())?;
    let length = fact.length.unwrap_or(0);
    let reason = format!("Both sides are of one net; the slot runs so for at least {}.", words::length(length));
    // A short slot can be filled without changing what the board does; a long one may be there on purpose.
    Some(if length >= MEANT * fact.value.max(1) {
        found.capped(Severity::Ask).case("long").reason(reason)
    } else {
        found.capped(Severity::Note).reason(reason)
    })
}
