//! A land to be soldered or touched that mask covers.

use std::collections::BTreeSet;

use landgap_parser::Point;

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "covered-land", group: Group::Mask, page: include_str!("covered_land.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    // A covered mark for optical alignment is the matter of a rule of its own.
    let marks = context.board.features.iter().filter(|f| f.kind == FeatureKind::Fiducial);
    let marks: BTreeSet<Point> = marks.map(|f| f.at).collect();
    side::each_feature(context, FeatureKind::CoveredLand, Needs::Mask, |land| {
        (!marks.contains(&land.at)).then(|| finding(context, land))
    })
}

fn finding(context: &Context<'_>, land: &Feature) -> Finding {
    let found = feature::finding(context, land, Severity::Ask);
    if land.holes.is_empty() { found } else { found.case("round a hole for a lead") }
}
