//! A mask drawn as mask instead of as openings.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "inverse-mask", group: Group::Mask, page: include_str!("inverse_mask.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::InverseMask, Needs::Mask, |mask| {
        Some(feature::finding(context, mask, Severity::Ask))
    })
}
