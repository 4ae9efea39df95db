//! Slot of the drill data narrower than the tools that make it.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{HoleKind, HolePlating};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "narrow-cutout", group: Group::Outline, page: include_str!("narrow_cutout.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    let mut outcome = Outcome::default();
    for (number, hole) in (0u32..).zip(&context.board.holes) {
        let Some(width) = hole.finished.filter(|_| hole.kind == HoleKind::Slot) else { continue };
        outcome.looked_at += 1;
        let plated = hole.plating != HolePlating::Unplated;
        let applied = context.capability.slot(plated);
        if let Some(severity) = applied.levels.severity(width, 0) {
            let place = context.hole_place(number, hole, Some(width), None);
            outcome.findings.push(Finding::at(severity, LayerRole::Board, applied, place).capped(Severity::Ask));
        }
    }
    outcome
}
