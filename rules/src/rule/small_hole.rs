//! Hole that needs a smaller tool than the process has.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind};
use crate::capability::Applied;
use crate::query::words;

pub(super) const RULE: Rule =
    Rule { name: "small-hole", group: Group::Holes, page: include_str!("small_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.smallest_tool();
    each_tool(context, |_| true, |_| limit.clone())
}

/// Holds the tool of every round hole that is `meant` against a limit.
pub(super) fn each_tool(
    context: &Context<'_>,
    meant: impl Fn(&Hole) -> bool,
    limit: impl Fn(&Hole) -> Applied,
) -> Outcome {
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    let mut outcome = Outcome::default();
    for (number, hole) in (0u32..).zip(&context.board.holes) {
        let Some(tool) = context.capability.tool(hole).filter(|_| hole.kind != HoleKind::Slot && meant(hole)) else {
            continue;
        };
        outcome.looked_at += 1;
        let applied = limit(hole);
        if let Some(severity) = applied.levels.severity(tool, 0) {
            let place = context.hole_place(number, hole, Some(tool), None);
            outcome
                .findings
                .push(Finding::at(severity, LayerRole::Board, applied, place).reason(reason(context, hole)));
        }
    }
    outcome
}

fn reason(context: &Context<'_>, hole: &Hole) -> String {
    format!(
        "The finished hole is {}; with {} for plating it is drilled with the nearest tool.",
        words::length(hole.finished.unwrap_or(0)),
        words::millimetres(context.capability.allowance(hole))
    )
}
