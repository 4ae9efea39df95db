//! Copper too near a line along which the board is scored.

use super::context::Context;
use super::finding::Outcome;
use super::{Group, Rule};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "copper-near-score", group: Group::Outline, page: include_str!("copper_near_score.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.score_copper(&context.order);
    context.each_fact(FactKind::CopperToScore, limit.levels.preferred, |fact| {
        // Copper can always be drawn back, so nothing stops here.
        let found = context.held(fact, fact.value, limit.clone())?.capped(Severity::Ask);
        Some(if fact.value == 0 && found.severity == Severity::Ask { found.case("across it") } else { found })
    })
}
