//! Legend on an opening of the mask.

use super::context::Context;
use super::finding::Outcome;
use super::{Group, Rule, side};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "legend-on-land", group: Group::Mask, page: include_str!("legend_on_land.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.legend_opening();
    // Legend is clipped as a matter of course: only ink that is lost is told.
    side::each_fact(context, FactKind::LegendToOpening, 0, |fact| {
        let lost = fact.value + fact.uncertainty < 0;
        Some(context.held(fact, fact.value, limit.clone()).filter(|_| lost)?.capped(Severity::Note))
    })
}
