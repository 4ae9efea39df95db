//! Gap between copper of different nets too small for its copper thickness.

use super::context::Context;
use super::finding::Outcome;
use super::{Group, Rule};
use crate::fact::FactKind;

pub(super) const RULE: Rule =
    Rule { name: "tight-gap", group: Group::Copper, page: include_str!("tight_gap.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = |inner| context.capability.gap(inner, &context.order);
    context.each_fact(FactKind::Gap, context.widest(limit), |fact| {
        let found = context.held(fact, fact.value, limit(context.is_inner(fact.layer)))?;
        // Letters in copper carry no net and have a rule of their own.
        (!context.is_between_letters(fact)).then_some(found)
    })
}
