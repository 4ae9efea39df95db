//! Hole the data call non-plated that stands in copper.

use landgap_parser::Nm;

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "padded-unplated-hole", group: Group::Holes, page: include_str!("padded_unplated_hole.md"), look };

/// A ring this wide holds without plating when the hole is drilled last; common practice, no source.
const HOLDS: Nm = 300_000;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::UnplatedLand, Needs::Holes, |land| judge(context, land))
}

fn judge(context: &Context<'_>, land: &Feature) -> Option<Finding> {
    let wide = land.size.is_some_and(|ring| ring + land.uncertainty >= HOLDS);
    match (land.settled, wide) {
        (true, true) => None,
        (true, false) => Some(feature::finding(context, land, Severity::Note)),
        (false, _) => Some(feature::finding(context, land, Severity::Ask)),
    }
}
