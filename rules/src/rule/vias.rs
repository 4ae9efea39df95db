//! What the data state about how a via is to be protected, and which vias are asked about it.

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::side::LeftOut;
use crate::board::{FeatureKind, Hole, HoleKind, LayerRef, Side};
use crate::fact::Cover;

/// The type of protection a via's tool states (Gerber format 2021.02, section 5.6.10, after IPC-4761), `None` included.
pub(super) fn protection(hole: &Hole) -> Option<&str> {
    let mut fields = hole.function.as_deref()?.split(',').map(str::trim);
    fields.by_ref().find(|f| *f == "ViaDrill")?;
    fields.next().filter(|f| !f.is_empty())
}

/// Types in which the hole is filled through.
pub(super) fn is_filled(protection: &str) -> bool {
    ["V", "VI", "VII"].contains(&protection)
}

/// A via with the cover of both its sides.
pub(super) struct Covered<'a> {
    pub number: u32,
    pub hole: &'a Hole,
    pub sides: [Cover; 2],
}

/// Vias whose cover is known on both sides, in the order of the data. Vias for testing, in fields that carry heat, and
/// those whose protection is stated are left out.
fn of<'a>(context: &'a Context<'_>) -> Vec<Covered<'a>> {
    let kept = [FeatureKind::ThermalVias, FeatureKind::HoleInLand];
    let features = &context.board.features;
    let held: std::collections::BTreeSet<u32> =
        features.iter().filter(|f| kept.contains(&f.kind)).flat_map(|f| f.holes.iter().copied()).collect();
    let tests: std::collections::BTreeSet<_> =
        features.iter().filter(|f| f.kind == FeatureKind::TestPoint).map(|f| f.at).collect();
    let covers = context.facts.covers.iter();
    (0u32..)
        .zip(&context.board.holes)
        .zip(covers)
        .filter(|((number, hole), _)| {
            let asked = hole.kind == HoleKind::Via && protection(hole).is_none();
            asked && !held.contains(number) && !tests.contains(&hole.at())
        })
        .filter_map(|((number, hole), sides)| {
            let [Some(top), Some(bottom)] = *sides else { return None };
            Some(Covered { number, hole, sides: [top, bottom] })
        })
        .collect()
}

/// Runs a rule over those vias, unless a side is unknown or in doubt.
pub(super) fn each(context: &Context<'_>, look: impl FnOnce(&[Covered<'_>]) -> Vec<Finding>) -> Outcome {
    let sides = [Side::Top, Side::Bottom].map(|side| Some(LayerRef::Mask(side)));
    let known = |layer: &Option<LayerRef>| context.board.masks.iter().any(|m| Some(LayerRef::Mask(m.side)) == *layer);
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    if !sides.iter().all(known) {
        return Outcome::not_run("solder mask is not known on both sides");
    }
    let out = LeftOut::of(context);
    if sides.iter().any(|layer| out.has(context, *layer)) {
        return out.told(Outcome::default(), false);
    }
    let vias = of(context);
    Outcome { looked_at: vias.len() as u64, findings: look(&vias), not_run: None }
}
