//! Mask left between two openings too thin to hold.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule = Rule { name: "thin-web", group: Group::Mask, page: include_str!("thin_web.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.web(&context.order).levels.preferred;
    side::each_fact(context, FactKind::Web, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let harmless = if fact.same_net {
        Some("The lands on both sides are of one net, so a lost web bridges nothing that is not joined already.")
    } else if fact.nets.len() < 2 {
        Some("Copper lies in one of the openings at most, so a lost web bridges nothing.")
    } else {
        None
    };
    let most = if harmless.is_some() { Severity::Note } else { Severity::Ask };
    let mut found = context.held(fact, fact.value, context.capability.web(&context.order))?.capped(most);
    if let Some(reason) = harmless {
        found = found.reason(reason);
    }
    Some(match fact.length {
        Some(length) => found.reason(format!("The web runs for {}.", words::length(length))),
        None => found,
    })
}
