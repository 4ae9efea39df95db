//! Turns recognised features into findings.

use super::context::Context;
use super::finding::{Finding, Outcome};
use crate::board::{Feature, FeatureKind, OutlineState};
use crate::query::{QueryPlace, Severity, words};

/// At most so many lines of the data are named for one feature.
const SOURCES: usize = 20;

/// What must be in the data before a kind of feature can be found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Needs {
    /// Holes and copper.
    Holes,
    /// Holes, copper and the board's edge.
    HolesAndEdge,
    /// Copper and the board's edge.
    Edge,
}

/// Runs a rule over every feature of one kind.
pub(crate) fn each(
    context: &Context<'_>,
    kind: FeatureKind,
    needs: Needs,
    judge: impl Fn(&Feature) -> Option<Finding>,
) -> Outcome {
    if let Some(why) = missing(context, needs) {
        return Outcome::not_run(why);
    }
    let board = context.board;
    let looked_at = if needs == Needs::Edge { board.copper.len() } else { board.holes.len() };
    let findings = board.features.iter().filter(|f| f.kind == kind).filter_map(judge).collect();
    Outcome { looked_at: looked_at as u64, findings, not_run: None }
}

pub(super) fn missing(context: &Context<'_>, needs: Needs) -> Option<&'static str> {
    let board = context.board;
    if needs != Needs::Edge && board.holes.is_empty() {
        Some("no holes in the data")
    } else if board.copper.is_empty() {
        Some("no copper layer in the data")
    } else if needs != Needs::Holes && board.outline.state == OutlineState::Missing {
        Some("no outline in the data")
    } else {
        None
    }
}

/// A feature as a finding, with its reasons.
pub(crate) fn finding(context: &Context<'_>, feature: &Feature, severity: Severity) -> Finding {
    let place = QueryPlace {
        at: feature.at,
        layer: feature.layer,
        measured: None,
        drawn: None,
        uncertainty: None,
        between: feature.between,
        run: None,
        nets: Vec::new(),
        holes: feature.holes.clone(),
        sources: feature.sources.iter().take(SOURCES).copied().collect(),
    };
    let found = Finding::without_limit(severity, context.role(feature.layer), vec![place]);
    feature.reasons.iter().map(|r| words::sentence(r)).fold(found, Finding::reason)
}
