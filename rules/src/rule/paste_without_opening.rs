//! Paste printed where the mask has no opening.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::Outcome;
use super::{Group, Rule, side};
use crate::board::FeatureKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "paste-without-opening", group: Group::Mask, page: include_str!("paste_without_opening.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    side::each_feature(context, FeatureKind::CoveredPaste, Needs::Paste, |paste| {
        Some(feature::finding(context, paste, Severity::Ask))
    })
}
