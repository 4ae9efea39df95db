//! Lands in line on both outer layers without a hole, where the like of them have one.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "missing-hole", group: Group::Holes, page: include_str!("missing_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::LandStack, Needs::Holes, |stack| {
        Some(feature::finding(context, stack, Severity::Ask))
    })
}
