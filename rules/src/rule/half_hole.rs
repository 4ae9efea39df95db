//! Half-holes on the board's edge, which are made in steps of their own.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "half-hole", group: Group::Outline, page: include_str!("half_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let mut outcome =
        feature::each(context, FeatureKind::HalfHoleRow, Needs::HolesAndEdge, |row| Some(judge(context, row)));
    if outcome.not_run.is_none() {
        for row in context.board.features.iter().filter(|f| f.kind == FeatureKind::HalfHoleRow) {
            outcome.findings.extend(row.holes.iter().filter_map(|i| small(context, *i)));
            outcome.findings.extend(close(context, row));
        }
    }
    outcome
}

/// A half-hole smaller than what the cut leaves whole. It can be cut all the same, so nothing stops here.
fn small(context: &Context<'_>, number: u32) -> Option<Finding> {
    let hole = context.hole(number)?;
    let size = hole.finished?;
    let applied = context.capability.half_hole_size();
    let severity = applied.levels.severity(size, 0)?;
    let place = context.hole_place(number, hole, Some(size), None);
    Some(Finding::at(severity, LayerRole::Board, applied, place).capped(Severity::Ask).case("too small"))
}

/// Too little wall between two half-holes of a row.
fn close(context: &Context<'_>, row: &Feature) -> Option<Finding> {
    let applied = context.capability.half_hole_wall();
    let wall = row.size?;
    let severity = applied.levels.severity(wall, row.uncertainty)?.min(Severity::Ask);
    let mut found = feature::finding(context, row, severity).case("too close");
    found.applied = Some(applied);
    for place in &mut found.places {
        place.measured = Some(wall);
        place.drawn = Some(wall);
        place.uncertainty = Some(row.uncertainty);
    }
    Some(found)
}

/// Where the data name them the wish is plain and only told; otherwise it may be a hole that came too near the edge.
fn judge(context: &Context<'_>, row: &Feature) -> Finding {
    let severity = if row.settled { Severity::Note } else { Severity::Ask };
    let found = feature::finding(context, row, severity);
    if row.settled || row.holes.len() > 1 { found } else { found.case("one alone") }
}
