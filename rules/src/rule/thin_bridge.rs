//! Board material between two cuts that is too thin to last.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{FeatureKind, HoleKind};
use crate::fact::{Fact, FactKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "thin-bridge", group: Group::Outline, page: include_str!("thin_bridge.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.capability.bridge(&context.order).levels.preferred;
    let mut outcome = context.each_fact(FactKind::Bridge, widest, |fact| judge(context, fact));
    if !is_array(context) {
        // Where nothing is broken out of a frame, material between two slots in line is a bridge as any other.
        let tabs = context.each_fact(FactKind::Tab, widest, |fact| judge(context, fact));
        outcome.findings.extend(tabs.findings);
    }
    outcome
}

/// Whether the data hold boards in a frame.
pub(super) fn is_array(context: &Context<'_>) -> bool {
    context.board.features.iter().any(|f| matches!(f.kind, FeatureKind::Perforation | FeatureKind::Rail))
        || context.board.doubts.iter().any(|d| d.rule == "array-or-single")
}

/// Whether break-off holes stand in or beside the material.
pub(super) fn is_perforated(context: &Context<'_>, fact: &Fact) -> bool {
    let at = crate::geometry::distance::round((
        (fact.from.x + fact.to.x) as f64 / 2.0,
        (fact.from.y + fact.to.y) as f64 / 2.0,
    ));
    let reach = fact.value as f64 / 2.0 + 1_000_000.0;
    let mut holes = context.board.holes.iter().filter(|h| h.kind == HoleKind::Perforation);
    holes.any(|h| h.at().distance(at) <= reach)
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    // Thin material can be made and accepted, so nothing stops here.
    let found = context.held(fact, fact.value, context.capability.bridge(&context.order))?.capped(Severity::Ask);
    if is_perforated(context, fact) {
        return None;
    }
    Some(found.reason("No break-off holes stand here, so the material is not meant to be broken."))
}
