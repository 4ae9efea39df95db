//! Clearances so near each other that little copper is left between them.

use super::context::Context;
use super::finding::Outcome;
use super::{Group, Rule};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "cut-plane", group: Group::Copper, page: include_str!("cut_plane.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let limit = context.capability.plane_web();
    context.each_fact(FactKind::PlaneWeb, limit.levels.preferred, |fact| {
        let found = context.held(fact, fact.value, context.capability.plane_web())?.capped(Severity::Ask);
        Some(found.reason("Both sides are clearances round holes, hollows of the same piece of copper."))
    })
}
