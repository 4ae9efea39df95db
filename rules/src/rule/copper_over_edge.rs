//! Copper over the board's edge on several layers: a plated edge?

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule, at_edge};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "copper-over-edge", group: Group::Outline, page: include_str!("copper_over_edge.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let mut outcome = feature::each(context, FeatureKind::EdgePlating, Needs::Edge, |_| None);
    if outcome.not_run.is_none() {
        let told = |settled: bool| if settled { Severity::Note } else { Severity::Ask };
        let runs = at_edge::plated_runs(context);
        outcome.findings = runs.map(|run| feature::finding(context, run, told(run.settled))).collect();
    }
    outcome
}
