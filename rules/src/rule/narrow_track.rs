//! Copper narrower, over a stretch, than its thickness allows.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "narrow-track", group: Group::Copper, page: include_str!("narrow_track.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.widest(|inner| context.capability.track(inner, &context.order));
    context.each_fact(FactKind::Width, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    // A thin spot shorter than it is wide is a corner or the shoulder of a land, not a track.
    if fact.length.is_some_and(|length| length < fact.value) {
        return None;
    }
    let limit = context.capability.track(context.is_inner(fact.layer), &context.order);
    let found = context.held(fact, fact.value, limit)?;
    // Letters and spokes have rules of their own.
    if context.within(fact, &[FeatureKind::CopperText]).is_some() || context.is_spoke(fact) {
        return None;
    }
    let found = match context.within(fact, &[FeatureKind::Coil, FeatureKind::Meander]) {
        Some(_) => found.case("wound").capped(Severity::Ask),
        None => found,
    };
    Some(match fact.length {
        Some(length) => {
            found.reason(format!("The copper stays that thin for {}, longer than it is wide.", words::length(length)))
        }
        None => found,
    })
}
