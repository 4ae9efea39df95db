//! Lands that hang on too few or too thin spokes.

use landgap_parser::Nm;

use super::context::Context;
use super::feature;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Feature, FeatureKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "blocked-relief", group: Group::Copper, page: include_str!("blocked_relief.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.copper.is_empty() {
        return Outcome::not_run("no copper layer in the data");
    }
    let reliefs = || context.board.features.iter().filter(|f| f.kind == FeatureKind::Relief && !f.parts.is_empty());
    let findings = reliefs().filter_map(|relief| judge(context, relief)).collect();
    Outcome { looked_at: reliefs().count() as u64, findings, not_run: None }
}

fn judge(context: &Context<'_>, relief: &Feature) -> Option<Finding> {
    let applied = context.capability.spoke();
    let levels = applied.levels;
    let mut widths: Vec<Nm> = relief.parts.iter().map(|p| p.width).collect();
    widths.sort_unstable_by(|a, b| b.cmp(a));
    let together: Nm = widths.iter().sum();
    // As much copper as the two spokes asked for carries as much, however many it is shared among.
    let enough = together + relief.uncertainty >= 2 * levels.minimum;
    let Some(second) = widths.get(1).copied() else {
        // One spoke on an outer layer may be all the neighbouring tracks left room for.
        let severity = if context.is_inner(relief.layer) && !enough { Severity::Ask } else { Severity::Note };
        let silent = together + relief.uncertainty >= 2 * levels.preferred;
        let found = feature::finding(context, relief, severity).case("one spoke");
        return (!silent).then(|| found.reason(format!("It is {} wide.", words::length(together))));
    };
    let severity = levels.severity(second, relief.uncertainty)?.min(Severity::Ask);
    let most = if enough { Severity::Note } else { severity };
    let mut place = feature::finding(context, relief, severity).places.remove(0);
    (place.measured, place.drawn, place.uncertainty) = (Some(second), Some(second), Some(relief.uncertainty));
    let found = Finding::at(severity, context.role(relief.layer), applied, place).capped(most);
    Some(found.reason(format!(
        "The land has {}, {} wide together; the second widest is held against the limit.",
        words::counted(widths.len(), "spoke", "spokes"),
        words::length(together)
    )))
}
