//! Half-holes on the board's edge, which are made in steps of their own.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "half-hole", group: Group::Outline, page: include_str!("half_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    feature::each(context, FeatureKind::HalfHoleRow, Needs::HolesAndEdge, |row| Some(judge(context, row)))
}

/// Where the data name them the wish is plain and only told; otherwise it may be a hole that came too near the edge.
fn judge(context: &Context<'_>, row: &Feature) -> Finding {
    let severity = if row.settled { Severity::Note } else { Severity::Ask };
    let found = feature::finding(context, row, severity);
    if row.settled || row.holes.len() > 1 { found } else { found.case("one alone") }
}
