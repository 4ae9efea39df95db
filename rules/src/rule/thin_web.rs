//! Mask left between two openings too thin to hold.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule = Rule { name: "thin-web", group: Group::Mask, page: include_str!("thin_web.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.web(&context.order).levels.preferred;
    context.each_fact(FactKind::Web, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let most = if fact.same_net { Severity::Note } else { Severity::Ask };
    let mut found = context.held(fact, fact.value, context.capability.web(&context.order))?.capped(most);
    if fact.same_net {
        found = found.reason(
            "The lands on both sides are of one net, so a lost web bridges nothing that is not joined already.",
        );
    }
    Some(match fact.length {
        Some(length) => found.reason(format!("The web runs for {}.", words::length(length))),
        None => found,
    })
}
