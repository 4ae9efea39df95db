//! Non-plated hole whose wall cuts through copper.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule = Rule {
    name: "unplated-touches-plated",
    group: Group::Holes,
    page: include_str!("unplated_touches_plated.md"),
    look,
};

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::CutCopper, Needs::Holes, |cut| {
        Some(feature::finding(context, cut, Severity::Ask))
    })
}
