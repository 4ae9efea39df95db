//! The opening of a soldered land beside a via's hole.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::vias::{is_filled, protection};
use super::{Group, Rule, side};
use crate::board::{FeatureKind, LayerRef, Side};
use crate::fact::{Cover, Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "opening-near-via", group: Group::Mask, page: include_str!("opening_near_via.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.opening_to_via().levels.preferred;
    let kinds = [FeatureKind::HoleInLand, FeatureKind::ThermalVias];
    let features = context.board.features.iter().filter(|f| kinds.contains(&f.kind));
    let held: std::collections::BTreeSet<u32> = features.flat_map(|f| f.holes.iter().copied()).collect();
    side::each_fact(context, FactKind::OpeningToVia, widest, |fact| {
        judge(context, fact).filter(|_| !fact.holes.iter().any(|h| held.contains(h)))
    })
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let hole = context.holes_of(fact).next()?;
    if protection(hole).is_some_and(is_filled) {
        return None;
    }
    let mut limit = context.capability.opening_to_via();
    let open = cover(context, fact) == Some(Cover::Opened);
    if !open {
        // Solder does not run into a covered hole; mask must only reach past its wall.
        limit.levels.preferred = limit.levels.minimum;
    }
    let cut = fact.value + fact.uncertainty < 0;
    let found = context.held(fact, fact.value, limit)?.capped(if cut { Severity::Ask } else { Severity::Note });
    Some(if cut {
        found.case("cut")
    } else if open {
        found.reason("The via is open on this side.")
    } else {
        found.reason("Mask covers the via on this side.")
    })
}

fn cover(context: &Context<'_>, fact: &Fact) -> Option<Cover> {
    let position = usize::from(fact.layer == Some(LayerRef::Mask(Side::Bottom)));
    context.facts.covers.get(*fact.holes.first()? as usize)?[position]
}
