//! Tongues of copper too thin to stay on the board.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "copper-sliver", group: Group::Copper, page: include_str!("copper_sliver.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.sliver();
    context.each_fact(FactKind::Sliver, limit.levels.preferred, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    // A tongue ends in nothing, so taking it off never changes a net: it is told, not asked about.
    let found = context.held(fact, fact.value, context.capability.sliver())?.capped(Severity::Note);
    if context.within(fact, &[FeatureKind::CopperText]).is_some() {
        return None;
    }
    let back = words::millimetres(fact.length.unwrap_or(0));
    Some(found.reason(format!("{back} behind its tip the copper is no wider than that, and it widens from there.")))
}
