//! Hole larger than any drill: it is routed.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "large-hole", group: Group::Holes, page: include_str!("large_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    let mut outcome = Outcome::default();
    let drilled = |h: &Hole| h.is_round() && h.kind != HoleKind::Slot;
    for (number, hole) in (0u32..).zip(&context.board.holes).filter(|(_, h)| drilled(h)) {
        outcome.looked_at += 1;
        outcome.findings.extend(judge(context, number, hole));
    }
    outcome
}

fn judge(context: &Context<'_>, number: u32, hole: &Hole) -> Option<Finding> {
    let (largest, source) = context.capability.largest_tool();
    let tool = context.capability.tool(hole).filter(|tool| *tool > largest)?;
    let pressed = hole.kind == HoleKind::PressFit;
    let severity = if pressed { Severity::Ask } else { Severity::Note };
    let place = context.hole_place(number, hole, None, None);
    let found = Finding::without_limit(severity, LayerRole::Board, vec![place]).reason(format!(
        "Its tool would be {}; tool.largest of capability profile {} is {}. Source: {}.",
        words::length(tool),
        context.capability.name,
        words::length(largest),
        source.trim_end_matches('.')
    ));
    Some(if pressed { found.case("pressed in") } else { found })
}
