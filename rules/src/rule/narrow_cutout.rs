//! Slot of the drill data narrower than the tools that make it.

use landgap_parser::Point;

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind, HolePlating};
use crate::capability::Applied;
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::{Segment, float, point_segment, round};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "narrow-cutout", group: Group::Outline, page: include_str!("narrow_cutout.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let milled = context.capability.slot(false);
    let mut outcome =
        context.each_fact(FactKind::CutOut, milled.levels.preferred, |fact| cut_out(context, fact, &milled));
    if context.board.holes.is_empty() {
        return outcome;
    }
    outcome.not_run = None;
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

/// A cut-out of the outline. One that the drill data give as well is judged there.
fn cut_out(context: &Context<'_>, fact: &Fact, milled: &Applied) -> Option<Finding> {
    let at = round(((fact.from.x + fact.to.x) as f64 / 2.0, (fact.from.y + fact.to.y) as f64 / 2.0));
    let covers = |h: &Hole| {
        let reach = h.finished.unwrap_or(0) as f64 / 2.0;
        let axis = crate::measure::touch::axis(h);
        let near = |pair: &[Point]| point_segment(float(at), Segment { a: pair[0], b: pair[1] }).length <= reach;
        axis.windows(2).any(near) || axis.iter().any(|p| p.distance(at) <= reach)
    };
    let found = context.held(fact, fact.value, milled.clone())?;
    if context.board.holes.iter().any(covers) {
        return None;
    }
    Some(found.capped(Severity::Ask).case("in the outline"))
}
