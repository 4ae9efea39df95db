//! An open via in a land that is soldered from the surface.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::vias::{is_filled, protection};
use super::{Group, Rule, side};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "hole-in-land", group: Group::Mask, page: include_str!("hole_in_land.md"), look };

/// From so many vias on, a large land carries heat, and its vias are meant to be open.
const FIELD: usize = 4;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    side::each_feature(context, FeatureKind::HoleInLand, Needs::HolesAndMask, |land| judge(context, land))
}

fn judge(context: &Context<'_>, land: &Feature) -> Option<Finding> {
    let filled = |i: &u32| context.hole(*i).and_then(protection).is_some_and(is_filled);
    if !land.holes.is_empty() && land.holes.iter().all(filled) || land.settled && land.holes.len() >= FIELD {
        return None;
    }
    Some(if land.settled {
        feature::finding(context, land, Severity::Note).case("large land")
    } else {
        feature::finding(context, land, Severity::Ask)
    })
}
