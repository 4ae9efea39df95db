//! Tabs that hold a board in its frame: too narrow, or crossed by copper.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, LayerRole, Outcome};
use super::thin_bridge::{is_array, is_perforated};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule = Rule { name: "thin-tab", group: Group::Outline, page: include_str!("thin_tab.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let solid = context.capability.tab(false);
    let mut outcome = context.each_fact(FactKind::Tab, solid.levels.preferred, |fact| {
        if !is_array(context) || is_perforated(context, fact) {
            return None;
        }
        // A tab can always be widened, so nothing stops here.
        let found = context.held(fact, fact.value, solid.clone())?.capped(Severity::Ask);
        Some(found.reason("The board stands in a frame, and no break-off holes stand in this tab."))
    });
    if outcome.not_run.is_none() {
        for row in context.board.features.iter().filter(|f| f.kind == FeatureKind::Perforation) {
            outcome.looked_at += 1;
            outcome.findings.extend(narrow(context, row));
            outcome.findings.extend(crossed(context, row));
        }
    }
    outcome
}

fn narrow(context: &Context<'_>, row: &Feature) -> Option<Finding> {
    let applied = context.capability.tab(true);
    let size = row.size?;
    let severity = applied.levels.severity(size, row.uncertainty)?.min(Severity::Ask);
    let mut found = feature::finding(context, row, severity);
    found.role = LayerRole::Board;
    found.applied = Some(applied);
    for place in &mut found.places {
        place.measured = Some(size);
        place.drawn = Some(size);
        place.uncertainty = Some(row.uncertainty);
    }
    Some(found)
}

fn crossed(context: &Context<'_>, row: &Feature) -> Option<Finding> {
    let meant = || feature::finding(context, row, Severity::Ask).case("copper in it");
    (!row.settled && missing_copper(context).is_none()).then(meant)
}

fn missing_copper(context: &Context<'_>) -> Option<&'static str> {
    feature::missing(context, Needs::HolesAndEdge)
}
