//! Copper that hangs together by too little to be sure of.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::capability::{Applied, Levels};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "doubtful-joint", group: Group::Copper, page: include_str!("doubtful_joint.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.registration(true).max(context.capability.registration(false));
    let mut outcome = context.each_fact(FactKind::Joint, widest, |fact| {
        let inner = context.is_inner(fact.layer);
        let key = if inner { "registration.inner" } else { "registration.outer" };
        judge(context, fact, context.capability.registration(inner), key, "as far as a hole may lie off its land")
    });
    let (neck, source) = context.capability.neck();
    let necks = context.each_fact(FactKind::Neck, neck, |fact| {
        Some(judge(context, fact, neck, "joint.neck", &source)?.case("by a hair"))
    });
    outcome.looked_at += necks.looked_at;
    outcome.findings.extend(necks.findings);
    outcome.not_run = match (outcome.not_run, necks.not_run) {
        (Some(_), Some(why)) => Some(why),
        // Without holes there are still hairs to look for.
        (one, None) if context.board.holes.is_empty() => one.filter(|_| false),
        (one, other) => one.or(other),
    };
    outcome
}

/// Shorts and opens are judged on the copper as drawn, so what may turn out otherwise is told.
fn judge(context: &Context<'_>, fact: &Fact, least: landgap_parser::Nm, key: &str, source: &str) -> Option<Finding> {
    let levels = Levels { preferred: least, minimum: 0, special: 0 };
    let applied = Applied { levels, key: key.to_owned(), source: source.to_owned() };
    let found = context.held(fact, fact.value, applied)?.capped(Severity::Note);
    Some(found.reason("It is counted as joined when nets are compared; nothing else joins the two parts."))
}
