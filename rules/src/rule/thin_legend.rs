//! Legend drawn too thin or too small to be read once printed.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "thin-legend", group: Group::Mask, page: include_str!("thin_legend.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let stroke = context.capability.legend_stroke();
    let strokes = side::each_fact(context, FactKind::LegendStroke, stroke.levels.minimum, |f| pen(context, f));
    let heights = side::each_fact(context, FactKind::LegendHeight, 0, |f| height(context, f));
    let mut outcome = strokes;
    outcome.looked_at += heights.looked_at;
    outcome.findings.extend(heights.findings);
    outcome.not_run = outcome.not_run.or(heights.not_run);
    outcome
}

fn pen(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let mut limit = context.capability.legend_stroke();
    // Thin legend is widened as a matter of course: only what lies below the minimum is told.
    limit.levels.preferred = limit.levels.minimum;
    let found = context.held(fact, fact.value, limit)?.capped(Severity::Note);
    Some(match fact.length {
        Some(length) => found.reason(format!("That pen draws lines of {} in all.", words::length(length))),
        None => found,
    })
}

fn height(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let mut limit = context.capability.legend_height();
    limit.levels.preferred = limit.levels.minimum;
    Some(context.held(fact, fact.value, limit)?.capped(Severity::Note).case("low characters"))
}
