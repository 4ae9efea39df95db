//! Slot or hole that drill data and outline both give, but not alike.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind, HolePlating};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "slot-given-twice", group: Group::Holes, page: include_str!("slot_given_twice.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::DoubledCutOut, Needs::HolesAndEdge, |twice| {
        (!twice.settled).then(|| judge(context, twice))
    })
}

fn judge(context: &Context<'_>, twice: &Feature) -> Finding {
    let hole = twice.holes.first().and_then(|h| context.hole(*h));
    let plated = hole.is_some_and(|h| h.plating == HolePlating::Plated);
    let found = feature::finding(context, twice, Severity::Ask);
    if plated { found.case("plated") } else { found }
}
