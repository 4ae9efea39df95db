//! Too little material between the walls of two holes.

use landgap_parser::Nm;

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{FeatureKind, Hole, HoleKind, HolePlating};
use crate::capability::WallCase;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "holes-too-close", group: Group::Holes, page: include_str!("holes_too_close.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = WallCase::ALL.iter().map(|c| context.capability.wall(*c).levels.preferred).max().unwrap_or(0);
    context.each_fact(FactKind::HoleToHole, widest, |fact| {
        if context.holes_of(fact).all(|h| h.kind == HoleKind::Perforation) {
            return None;
        }
        judge(context, fact)
    })
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let [a, b] = fact.holes.as_slice() else { return None };
    let (a, b) = (context.hole(*a)?, context.hole(*b)?);
    if is_one_slot(context, &fact.holes) || fact.value < 0 && overlap_is_elsewhere(context, fact, a, b) {
        return None;
    }
    let allowance = context.capability.allowance(a) + context.capability.allowance(b);
    let value: Nm = fact.value - (allowance + 1) / 2;
    let found = context.held(fact, value, context.capability.wall(case(context, fact, a, b)))?;
    // Two holes can break into each other and the board still be made, so nothing stops here.
    Some(found.capped(Severity::Ask).reason(format!(
        "As drawn, at finished size, {} of material is left; the two tools together are {} larger across.",
        words::length(fact.value),
        words::millimetres(allowance)
    )))
}

/// Links of one chain of hits need not overlap each other to be one slot.
fn is_one_slot(context: &Context<'_>, holes: &[u32]) -> bool {
    let chains = context.board.features.iter().filter(|f| f.kind == FeatureKind::SlotChain);
    chains.into_iter().any(|f| holes.iter().all(|h| f.holes.binary_search(h).is_ok()))
}

/// Equal holes that overlap are the links of a slot; overlaps that placing has asked about are not asked again.
fn overlap_is_elsewhere(context: &Context<'_>, fact: &Fact, a: &Hole, b: &Hole) -> bool {
    let slot = a.finished == b.finished && a.plating == b.plating;
    let asked = context.board.doubts.iter().filter(|d| d.rule == "doubled-hole").flat_map(|d| &d.places);
    slot || asked.into_iter().any(|p| *p == a.at() || *p == b.at() || *p == fact.from)
}

fn case(context: &Context<'_>, fact: &Fact, a: &Hole, b: &Hole) -> WallCase {
    let unplated = |hole: &Hole| hole.plating == HolePlating::Unplated;
    let vias = context.capability.is_via(a) && context.capability.is_via(b);
    let same_net = matches!(fact.nets.as_slice(), [x, y] if x == y);
    match (unplated(a) || unplated(b), vias, same_net) {
        (true, ..) => WallCase::Unplated,
        (false, true, true) => WallCase::ViaSameNet,
        (false, true, false) => WallCase::Via,
        (false, false, _) => WallCase::Plated,
    }
}
