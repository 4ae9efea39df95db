//! Plated or not, where neither file nor tool says so: the house rule.
//!
//! Two fabricators' published rules: a board with at most one copper layer has no plated holes;
//! otherwise a hole is plated unless it has no copper at all, or copper no larger than itself, or
//! copper on one outer side only that leads nowhere.

use crate::board::{Doubt, Hole, HolePlating, Layers, Reason};
use crate::measure::touch::Touch;

/// Settles the plating of a hole of which the data do not say it.
/// A netlist's word comes before the house rule.
pub(super) fn settle(hole: &mut Hole, met: &[Touch], layers: u32, stated: Option<bool>) {
    let (plating, reason) = match stated {
        Some(true) => (HolePlating::Plated, Reason::NetlistPlated),
        Some(false) => (HolePlating::Unplated, Reason::NetlistUnplated),
        None => decide(hole, met, layers),
    };
    hole.plating = plating;
    hole.reasons.push(reason);
}

fn decide(hole: &Hole, met: &[Touch], layers: u32) -> (HolePlating, Reason) {
    let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
    let with_ring: Vec<u32> = met.iter().filter(|t| t.reach > radius).map(|t| t.layer + 1).collect();
    let joins = met.iter().any(|t| t.layer != met[0].layer);
    let outer = |layer: &u32| *layer == 1 || *layer == layers;
    if layers <= 1 {
        (HolePlating::Unplated, Reason::OneCopperLayer)
    } else if met.is_empty() {
        (HolePlating::Unplated, Reason::NoCopper)
    } else if with_ring.is_empty() {
        (HolePlating::Unplated, Reason::NoLargerLand)
    } else if !joins && with_ring.iter().all(outer) {
        (HolePlating::Unclear, Reason::OneSideOnly(with_ring[0]))
    } else {
        (HolePlating::Plated, Reason::Joins(with_ring.into_iter().collect::<Layers>()))
    }
}

/// The doubt about holes that neither data nor copper settle.
pub(super) fn unclear(holes: &[Hole]) -> Option<Doubt> {
    let open: Vec<&Hole> = holes.iter().filter(|h| h.plating == HolePlating::Unclear).collect();
    let first = open.first()?;
    Some(Doubt {
        rule: "unclear-plating",
        seen: format!(
            "The data do not say whether {} of {} holes are plated, and the copper does not settle it.",
            open.len(),
            holes.len()
        ),
        reasons: first.why(),
        sources: open.iter().map(|h| h.source).collect(),
        places: open.iter().map(|h| h.at()).collect(),
        readings: Vec::new(),
    })
}
