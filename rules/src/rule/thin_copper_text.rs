//! Letters and signs in copper too fine to be made.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "thin-copper-text", group: Group::Copper, page: include_str!("thin_copper_text.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let strokes =
        context.each_fact(FactKind::Width, context.widest(|inner| track(context, inner)), |fact| stroke(context, fact));
    let gaps =
        context.each_fact(FactKind::Gap, context.widest(|inner| gap(context, inner)), |fact| between(context, fact));
    let texts = context.board.features.iter().filter(|f| f.kind == FeatureKind::CopperText).count() as u64;
    Outcome {
        looked_at: texts,
        findings: strokes.findings.into_iter().chain(gaps.findings).collect(),
        not_run: strokes.not_run.or(gaps.not_run).filter(|_| texts > 0 || context.board.copper.is_empty()),
    }
}

fn track(context: &Context<'_>, inner: bool) -> crate::capability::Applied {
    context.capability.track(inner, &context.order)
}

fn gap(context: &Context<'_>, inner: bool) -> crate::capability::Applied {
    context.capability.gap(inner, &context.order)
}

fn stroke(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let found = context.held(fact, fact.value, track(context, context.is_inner(fact.layer)))?;
    context.within(fact, &[FeatureKind::CopperText])?;
    Some(found.capped(Severity::Ask).reason(why(fact)))
}

fn between(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let found = context.held(fact, fact.value, gap(context, context.is_inner(fact.layer)))?;
    (context.is_between_letters(fact)).then(|| found.capped(Severity::Ask).case("gap").reason(why(fact)))
}

fn why(fact: &Fact) -> String {
    let length = fact.length.filter(|l| *l > 0).map(|l| format!(" over {}", words::length(l))).unwrap_or_default();
    format!("It lies in letters or a sign that carry no net{length}.")
}
