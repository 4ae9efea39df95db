//! Outline that does not close.

use super::context::Context;
use super::doubt;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Outline, OutlineState, Source};
use crate::query::{QueryPlace, Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "open-outline", group: Group::Outline, page: include_str!("open_outline.md"), look };

fn look(rule: &Rule, context: &Context<'_>) -> Outcome {
    let outline = &context.board.outline;
    if outline.state == OutlineState::Missing {
        return Outcome::not_run("no outline in the data");
    }
    let mut findings: Vec<Finding> = doubt::of(rule, context).map(|d| doubt::finding(d, Severity::Ask)).collect();
    if findings.is_empty() {
        findings.extend(from_outline(context, outline));
    }
    Outcome { looked_at: outline.contours.len().max(1) as u64, findings, not_run: None }
}

fn from_outline(context: &Context<'_>, outline: &Outline) -> Option<Finding> {
    let limits = &context.capability.values.outline;
    let open = outline.state == OutlineState::Open || !outline.open_ends.is_empty();
    // The widest gap is known no better than the file's own step.
    let bridged = outline.bridged - outline.step;
    let severity = match (open, bridged) {
        (true, _) => Severity::Ask,
        (false, gap) if gap > limits.close_gap.value => Severity::Ask,
        (false, gap) if gap > limits.rounding.value => Severity::Note,
        (false, _) => return None,
    };
    let sources: Vec<Source> = outline.files.iter().map(|file| Source { file: *file, line: 0 }).collect();
    let places: Vec<QueryPlace> = outline.open_ends.iter().map(|(a, b)| end_place(*a, *b, &sources)).collect();
    let mut finding = Finding::without_limit(severity, LayerRole::Board, places);
    finding.seen = if open {
        format!(
            "The outline has {} that do not meet.",
            words::counted(outline.open_ends.len().max(1), "pair of ends", "pairs of ends")
        )
    } else {
        format!(
            "The outline has gaps of up to {}, which we closed with straight lines.",
            words::length(outline.bridged)
        )
    };
    finding.reasons.clone_from(&outline.evidence);
    finding.sources = sources;
    Some(if open { finding } else { finding.case("closed by us") })
}

fn end_place(a: landgap_parser::Point, b: landgap_parser::Point, sources: &[Source]) -> QueryPlace {
    QueryPlace { between: Some((a, b)), ..doubt::bare_place(a, sources.to_vec()) }
}
