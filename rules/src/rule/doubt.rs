//! Turns doubts that arose while placing the files into findings.

use landgap_parser::Point;

use super::Rule;
use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use crate::board::Doubt;
use crate::query::{QueryPlace, Severity, words};

/// Every doubt of this rule stops the work.
pub(crate) fn stops(rule: &Rule, context: &Context<'_>) -> Outcome {
    outcome(rule, context, Severity::Stop)
}

/// Every doubt of this rule needs an answer.
pub(crate) fn asks(rule: &Rule, context: &Context<'_>) -> Outcome {
    outcome(rule, context, Severity::Ask)
}

/// Doubts with readings stop the work; those without are told.
pub(crate) fn told_or_stops(rule: &Rule, context: &Context<'_>) -> Outcome {
    told(outcome(rule, context, Severity::Stop))
}

/// Doubts with readings need an answer; those without are told.
pub(crate) fn told_or_asks(rule: &Rule, context: &Context<'_>) -> Outcome {
    told(outcome(rule, context, Severity::Ask))
}

/// A file that a shift alone brings into place, with nothing but rounding left, is aligned and listed; all
/// else needs an answer.
pub(crate) fn aligns(rule: &Rule, context: &Context<'_>) -> Outcome {
    let mut outcome = asks(rule, context);
    let laid = |file: u32| context.board.registrations.iter().find(|r| r.file == file);
    for finding in &mut outcome.findings {
        let shifted = |s: &crate::board::Source| laid(s.file).and_then(crate::board::Registration::pure_shift);
        if !finding.sources.is_empty() && finding.sources.iter().all(|s| shifted(s).is_some()) {
            finding.severity = Severity::Fix;
        }
    }
    outcome
}

fn told(mut outcome: Outcome) -> Outcome {
    for finding in outcome.findings.iter_mut().filter(|f| f.readings.is_empty()) {
        finding.severity = Severity::Note;
    }
    outcome
}

fn outcome(rule: &Rule, context: &Context<'_>, severity: Severity) -> Outcome {
    let findings: Vec<Finding> = of(rule, context).map(|d| finding(d, severity)).collect();
    Outcome { looked_at: (context.board.files.len() as u64).max(findings.len() as u64), findings, not_run: None }
}

/// The doubts of a rule.
pub(crate) fn of<'a>(rule: &Rule, context: &'a Context<'_>) -> impl Iterator<Item = &'a Doubt> + use<'a> {
    let name = rule.name;
    context.board.doubts.iter().filter(move |d| d.rule == name)
}

/// A doubt as a finding.
pub(crate) fn finding(doubt: &Doubt, severity: Severity) -> Finding {
    let places = doubt.places.iter().map(|at| place(*at, doubt)).collect();
    let mut finding = Finding::without_limit(severity, LayerRole::Board, places);
    finding.seen = words::sentence(&doubt.seen);
    finding.reasons = doubt.reasons.iter().map(|r| words::sentence(r)).collect();
    finding.readings.clone_from(&doubt.readings);
    finding.sources.clone_from(&doubt.sources);
    finding
}

fn place(at: Point, doubt: &Doubt) -> QueryPlace {
    bare_place(at, doubt.sources.clone())
}

/// A place with nothing measured.
pub(crate) const fn bare_place(at: Point, sources: Vec<crate::board::Source>) -> QueryPlace {
    QueryPlace {
        at,
        layer: None,
        measured: None,
        drawn: None,
        uncertainty: None,
        between: None,
        run: None,
        nets: Vec::new(),
        holes: Vec::new(),
        sources,
    }
}
