//! Finished size that no tool of the set makes within its tolerance.

use landgap_parser::Nm;

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind};
use crate::capability::{Applied, Capability, Levels, arithmetic};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "off-size-hole", group: Group::Holes, page: include_str!("off_size_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    let mut outcome = Outcome::default();
    for (number, hole) in (0u32..).zip(&context.board.holes) {
        let Some(made) = Made::of(context.capability, hole) else { continue };
        outcome.looked_at += 1;
        outcome.findings.extend(judge(context, number, hole, &made));
    }
    outcome
}

/// What the nearest tool makes of a hole.
struct Made {
    /// Finished size it comes out with.
    size: Nm,
    /// Middle of the sizes that are wanted.
    wanted: Nm,
    /// Half of the span of the sizes that are wanted.
    half: Nm,
}

impl Made {
    /// `None` for holes of no size, for slots, and for vias of no stated tolerance, whose size may be reduced.
    fn of(capability: &Capability, hole: &Hole) -> Option<Self> {
        let finished = hole.finished.filter(|_| hole.kind != HoleKind::Slot)?;
        let (plus, minus) = match hole.tolerance {
            Some(stated) => stated,
            None if capability.is_via(hole) => return None,
            None => {
                let usual = capability.tolerance(hole).levels.preferred;
                (usual, usual)
            }
        };
        let wanted = finished + (plus - minus) / 2;
        let allowance = capability.allowance(hole);
        let tool = arithmetic::nearest_tool(wanted + allowance, capability.values.tool.step.value);
        Some(Self { size: tool - allowance, wanted, half: (plus + minus) / 2 })
    }

    /// What is left of the tolerance, either way.
    fn left(&self) -> Nm {
        self.half - (self.size - self.wanted).abs()
    }
}

fn judge(context: &Context<'_>, number: u32, hole: &Hole, made: &Made) -> Option<Finding> {
    let process = context.capability.tolerance(hole);
    let stated = hole.tolerance.is_some();
    // Where nothing is stated, the usual tolerance is agreed on, and only the tool has to lie within it.
    let none = Levels { preferred: 0, minimum: 0, special: 0 };
    let applied = if stated { process } else { Applied { levels: none, key: "tool.step".to_owned(), ..process } };
    // A tolerance can be widened or a tool bought, so nothing stops here.
    let severity = match applied.levels.severity(made.left(), 0)? {
        Severity::Stop => Severity::Ask,
        other => other,
    };
    let place = context.hole_place(number, hole, Some(made.left()), None);
    let found = Finding::at(severity, LayerRole::Board, applied, place).reason(format!(
        "Wanted is {} within {} either way; the nearest tool makes {}.",
        words::length(made.wanted),
        words::millimetres(made.half),
        words::length(made.size)
    ));
    Some(if stated { found } else { found.case("no tool") })
}
