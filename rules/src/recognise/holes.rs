//! Plated or not, via or component hole or half-hole.
//!
//! Attributes and the file's own role win. Where neither speaks, the usual house rule decides
//! (two fabricators' published rules): a board with at most one copper layer has no plated holes;
//! otherwise a hole is plated unless it has no copper at all, or copper no larger than itself, or
//! copper on one outer side only that leads nowhere.

use crate::board::{Board, Doubt, Hole, HoleKind, HolePlating};
use crate::geometry::outline::Edge;
use crate::measure::touch::{Touch, Touches, axis};

/// Finished size up to which a plated hole with nothing else to go by is taken for a via: 0.5 mm.
const VIA_UP_TO: i64 = 500_000;

/// Settles plating and kind of every hole.
pub fn holes(board: &mut Board, touches: &Touches, edge: Option<&Edge>) {
    let layers = board.copper.len() as u32;
    for (i, hole) in board.holes.iter_mut().enumerate() {
        let met = touches.of(i as u32);
        if hole.plating == HolePlating::Unclear {
            settle_plating(hole, met, layers);
        }
        hole.kind = kind(hole, met, layers, edge);
    }
    board.doubts.extend(unclear(&board.holes));
}

/// The doubt about holes that neither data nor copper settle.
fn unclear(holes: &[Hole]) -> Option<Doubt> {
    let open: Vec<&Hole> = holes.iter().filter(|h| h.plating == HolePlating::Unclear).collect();
    let first = open.first()?;
    Some(Doubt {
        rule: "unclear-plating",
        seen: format!(
            "The data do not say whether {} of {} holes are plated, and the copper does not settle it.",
            open.len(),
            holes.len()
        ),
        reasons: first.reasons.clone(),
        sources: open.iter().map(|h| h.source).collect(),
        places: open.iter().map(|h| h.at()).collect(),
        readings: Vec::new(),
    })
}

fn settle_plating(hole: &mut Hole, met: &[Touch], layers: u32) {
    let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
    let with_ring: Vec<u32> = met.iter().filter(|t| t.reach > radius).map(|t| t.layer + 1).collect();
    let joins = met.iter().any(|t| t.layer != met[0].layer);
    let outer = |layer: &u32| *layer == 1 || *layer == layers;
    let (plating, reason) = if layers <= 1 {
        (
            HolePlating::Unplated,
            "the board has one copper layer or none, so its holes are taken as non-plated".to_string(),
        )
    } else if met.is_empty() {
        (HolePlating::Unplated, "no copper touches it on any layer".to_string())
    } else if with_ring.is_empty() {
        (HolePlating::Unplated, "no land is larger than the hole".to_string())
    } else if !joins && with_ring.iter().all(outer) {
        (HolePlating::Unclear, format!("it has a land on copper {} only", with_ring[0]))
    } else {
        (HolePlating::Plated, format!("it joins copper and has a land on copper {}", list(&with_ring)))
    };
    hole.plating = plating;
    hole.reasons.push(match plating {
        HolePlating::Plated => format!("plated because {reason}"),
        HolePlating::Unplated => format!("non-plated because {reason}"),
        HolePlating::Unclear => format!("plated or not is unclear because {reason}"),
    });
}

fn list(numbers: &[u32]) -> String {
    let mut unique = numbers.to_vec();
    unique.dedup();
    unique.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn kind(hole: &mut Hole, met: &[Touch], layers: u32, edge: Option<&Edge>) -> HoleKind {
    if let Some(kind) = by_attribute(hole) {
        return kind;
    }
    let (kind, reason) = if is_half_hole(hole, met, layers, edge) {
        (
            HoleKind::HalfHole,
            "half-hole because the board's edge cuts it and it has lands on both outer layers".to_string(),
        )
    } else if axis(hole).len() > 1 {
        (HoleKind::Slot, "slot because the tool travels".to_string())
    } else if hole.plating == HolePlating::Unplated {
        (HoleKind::Mechanical, "mechanical because it is not plated".to_string())
    } else if hole.plating == HolePlating::Unclear {
        return HoleKind::Unclear;
    } else if hole.finished.is_some_and(|d| d <= VIA_UP_TO) {
        (HoleKind::Via, "via because it is plated and its finished size is at most 0.5 mm".to_string())
    } else {
        (HoleKind::Component, "component hole because it is plated and larger than a via".to_string())
    };
    hole.reasons.push(reason);
    kind
}

fn by_attribute(hole: &mut Hole) -> Option<HoleKind> {
    let function = hole.function.clone()?;
    let kind = match function.split(',').next().unwrap_or("") {
        "ViaDrill" => HoleKind::Via,
        "ComponentDrill" => HoleKind::Component,
        "MechanicalDrill" => HoleKind::Mechanical,
        "CastellatedDrill" => HoleKind::HalfHole,
        _ => return None,
    };
    hole.reasons.push(format!("its tool carries the attribute {function}"));
    Some(if kind == HoleKind::Component && axis(hole).len() > 1 { HoleKind::Slot } else { kind })
}

fn is_half_hole(hole: &Hole, met: &[Touch], layers: u32, edge: Option<&Edge>) -> bool {
    let (Some(edge), Some(size), HolePlating::Plated) = (edge, hole.finished, hole.plating) else { return false };
    let outer = |layer: u32| met.iter().any(|t| t.layer + 1 == layer);
    outer(1) && outer(layers) && edge.index.nearest(&axis(hole), size / 2, |_, _| true).is_some()
}
