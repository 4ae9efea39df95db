//! Keeps the rules of mask, paste and legend away from sides whose layers are in doubt themselves: a mirrored
//! mask leaves every land covered, and saying so once is enough.

use landgap_parser::Nm;

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use crate::board::{Feature, FeatureKind, LayerRef, Side};
use crate::fact::{Fact, FactKind};

/// Doubts after which the layers of a side are not held against one another.
const DOUBTS: [&str; 3] = ["mirrored-layer", "misplaced-layer", "shifted-holes"];

/// Why nothing is said about the mask and paste of a side, or about its legend.
fn in_doubt(context: &Context<'_>, side: Side, legend: bool) -> Option<&'static str> {
    let board = context.board;
    let mask = Some(LayerRef::Mask(side));
    if board.features.iter().any(|f| f.kind == FeatureKind::InverseMask && f.layer == mask) {
        return Some("the mask of a side looks drawn as mask instead of as openings");
    }
    let own = if legend { &board.legends } else { &board.pastes };
    let layers = board.masks.iter().chain(own).filter(|l| l.side == side).map(|l| l.file);
    let copper = board.copper.iter().filter(|c| c.side == side).map(|c| c.file);
    let files: Vec<u32> = layers.chain(copper).collect();
    let doubts = board.doubts.iter().filter(|d| DOUBTS.contains(&d.rule));
    let mut sources = doubts.flat_map(|d| &d.sources);
    sources.any(|s| files.contains(&s.file)).then_some("a layer of a side is mirrored, moved, or may be")
}

/// The layers that are left out, and why.
pub(crate) struct LeftOut {
    sides: Vec<(Side, bool, &'static str)>,
}

impl LeftOut {
    /// Looks at the doubts of a board.
    pub(crate) fn of(context: &Context<'_>) -> Self {
        let all = [Side::Top, Side::Bottom].into_iter().flat_map(|side| [(side, false), (side, true)]);
        let sides = all.filter_map(|(side, legend)| Some((side, legend, in_doubt(context, side, legend)?))).collect();
        Self { sides }
    }

    /// Whether a layer is left out.
    pub(crate) fn has(&self, context: &Context<'_>, layer: Option<LayerRef>) -> bool {
        let legend = matches!(layer, Some(LayerRef::Legend(_)));
        context.side_of(layer).is_some_and(|side| self.sides.iter().any(|s| (s.0, s.1) == (side, legend)))
    }

    /// Says in the outcome that something was left out.
    pub(crate) fn told(&self, mut outcome: Outcome, legend: bool) -> Outcome {
        if outcome.not_run.is_none() {
            let why = self.sides.iter().find(|s| s.1 == legend).map(|s| s.2);
            outcome.not_run = why.map(|why| format!("run in part: {why}"));
        }
        outcome
    }
}

/// Runs a rule over every fact of one kind on sides free of doubt.
pub(crate) fn each_fact(
    context: &Context<'_>,
    kind: FactKind,
    widest: Nm,
    judge: impl Fn(&Fact) -> Option<Finding>,
) -> Outcome {
    let out = LeftOut::of(context);
    let legend = matches!(kind, FactKind::LegendToOpening | FactKind::LegendStroke | FactKind::LegendHeight);
    let outcome = context.each_fact(kind, widest, |fact| judge(fact).filter(|_| !out.has(context, fact.layer)));
    out.told(outcome, legend)
}

/// Runs a rule over every feature of one kind on sides free of doubt.
pub(crate) fn each_feature(
    context: &Context<'_>,
    kind: FeatureKind,
    needs: Needs,
    judge: impl Fn(&Feature) -> Option<Finding>,
) -> Outcome {
    let out = LeftOut::of(context);
    let outcome = feature::each(context, kind, needs, |f| judge(f).filter(|_| !out.has(context, f.layer)));
    out.told(outcome, false)
}
