//! No outline, or one taken from another layer.

use super::context::Context;
use super::doubt;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::OutlineState;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "missing-outline", group: Group::Outline, page: include_str!("missing_outline.md"), look };

fn look(rule: &Rule, context: &Context<'_>) -> Outcome {
    let state = context.board.outline.state;
    // An outline borrowed from another layer only has to be confirmed.
    let severity = if state == OutlineState::Assumed { Severity::Ask } else { Severity::Stop };
    let mut findings: Vec<Finding> = doubt::of(rule, context).map(|d| doubt::finding(d, severity)).collect();
    if findings.is_empty() && matches!(state, OutlineState::Missing | OutlineState::Assumed) {
        findings.push(from_state(context, severity));
    }
    if severity == Severity::Ask {
        findings.iter_mut().for_each(|f| f.case = "taken from another layer");
    }
    Outcome { looked_at: 1, findings, not_run: None }
}

fn from_state(context: &Context<'_>, severity: Severity) -> Finding {
    let mut finding = Finding::without_limit(severity, LayerRole::Board, Vec::new());
    finding.seen = match severity {
        Severity::Ask => "The set has no outline file; the edge shown was taken from another layer.",
        _ => "The set has no file that shows the board's edge.",
    }
    .to_owned();
    finding.reasons.clone_from(&context.board.outline.evidence);
    finding
}
