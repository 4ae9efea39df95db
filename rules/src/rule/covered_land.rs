//! A land to be soldered or touched that mask covers.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "covered-land", group: Group::Mask, page: include_str!("covered_land.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    side::each_feature(context, FeatureKind::CoveredLand, Needs::Mask, |land| judge(context, land))
}

fn judge(context: &Context<'_>, land: &Feature) -> Option<Finding> {
    // A covered mark for optical alignment is the matter of a rule of its own.
    let mark = |f: &&Feature| f.kind == FeatureKind::Fiducial && f.at == land.at;
    if context.board.features.iter().any(|f| mark(&f)) {
        return None;
    }
    let found = feature::finding(context, land, Severity::Ask);
    Some(if land.holes.is_empty() { found } else { found.case("round a hole for a lead") })
}
