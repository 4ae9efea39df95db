//! Mask too thin to hold inside one opening.

use super::context::Context;
use super::finding::Outcome;
use super::{Group, Rule, side};
use crate::fact::FactKind;
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "mask-sliver", group: Group::Mask, page: include_str!("mask_sliver.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.web(&context.order);
    side::each_fact(context, FactKind::MaskSliver, limit.levels.preferred, |fact| {
        let found = context.held(fact, fact.value, limit.clone())?.capped(Severity::Note);
        Some(match fact.length {
            Some(length) => found.reason(format!("The mask runs so thin for {}.", words::length(length))),
            None => found,
        })
    })
}
