//! The board's edge drawn into a copper layer.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "outline-in-copper", group: Group::Outline, page: include_str!("outline_in_copper.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::OutlineInCopper, Needs::Edge, |drawn| {
        Some(feature::finding(context, drawn, Severity::Ask))
    })
}
