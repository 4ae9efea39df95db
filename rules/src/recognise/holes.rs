//! What each hole is for: attributes first, then rows and chains, then what surrounds it.

use super::surroundings::{Corners, Surroundings, Witnesses};
use super::{Ground, Lands, perforation, plating, slot_chain};
use crate::board::{Board, Feature, Function, Hole, HoleKind, HolePlating, LandFunction, Reason, Sides};
use crate::measure::touch::axis;

/// Finished size up to which a plated hole with nothing else to go by is taken for a via: 0.5 mm.
const VIA_UP_TO: i64 = 500_000;

/// Finished size up to which a plated hole that mask covers is still taken for a via: 1 mm, common practice, no source.
const COVERED_VIA_UP_TO: i64 = 1_000_000;

/// Holes are settled before anything else is recognised; there is nothing more to find.
pub(super) const fn of(_: &Board, _: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    Vec::new()
}

/// Settles plating and kind of every hole.
pub(super) fn settle(board: &mut Board, ground: &Ground<'_>, lands: &Lands) {
    let layers = board.copper.len() as u32;
    let witnesses = Witnesses::of(board, ground);
    for (i, hole) in board.holes.iter_mut().enumerate() {
        if hole.plating == HolePlating::Unclear {
            let stated = witnesses.stated(hole.at()).and_then(|s| s.plated);
            plating::settle(hole, ground.touches.of(i as u32), layers, stated);
        }
    }
    let corners = Corners::of(board, ground.edge);
    let known: Vec<(HoleKind, Vec<Reason>)> = (0u32..)
        .zip(&board.holes)
        .map(|(i, hole)| {
            let around = Surroundings::of(i, hole, board, ground, lands, &witnesses);
            kind(i, hole, board, ground, &around, &corners)
        })
        .collect();
    for (hole, (kind, reasons)) in board.holes.iter_mut().zip(known) {
        hole.kind = kind;
        hole.reasons.extend(reasons);
    }
    mark(board, slot_chain::chains(board), HoleKind::Slot, Reason::Chain);
    mark(board, perforation::rows(board), HoleKind::Perforation, Reason::Row);
    board.doubts.extend(plating::unclear(&board.holes));
}

/// Holes that are what they are because of their neighbours; what the data call them stays.
fn mark(board: &mut Board, groups: Vec<Vec<u32>>, kind: HoleKind, reason: fn(u32) -> Reason) {
    for group in groups {
        let count = group.len() as u32;
        for number in group {
            let hole = &mut board.holes[number as usize];
            if !hole.reasons.iter().any(|r| matches!(r, Reason::Tool(f) if *f != Function::Mechanical)) {
                hole.reasons
                    .retain(|r| !matches!(r, Reason::NotPlated | Reason::NotComponentBare | Reason::NearCorner));
                hole.kind = kind;
                hole.reasons.push(reason(count));
            }
        }
    }
}

fn kind(
    number: u32,
    hole: &Hole,
    board: &Board,
    ground: &Ground<'_>,
    around: &Surroundings,
    corners: &Corners,
) -> (HoleKind, Vec<Reason>) {
    let mut reasons = Vec::with_capacity(5);
    let kind = match hole.function.as_deref().and_then(Function::of) {
        Some(function) => {
            reasons.push(Reason::Tool(function));
            reasons.extend(around.function.filter(|l| contradicts(function, *l)).map(Reason::LandSaysOtherwise));
            by_function(function, hole)
        }
        None => by_surroundings(number, hole, board, ground, around, corners, &mut reasons),
    };
    around.tell(hole, &mut reasons);
    (kind, reasons)
}

fn by_function(function: Function, hole: &Hole) -> HoleKind {
    let travels = !hole.is_round();
    match function {
        Function::Via => HoleKind::Via,
        Function::Component | Function::Mechanical if travels => HoleKind::Slot,
        Function::Component if hole.plating == HolePlating::Unplated => HoleKind::Mechanical,
        Function::Component => HoleKind::Component,
        Function::PressFit => HoleKind::PressFit,
        Function::Castellated => HoleKind::HalfHole,
        Function::Tooling => HoleKind::Tooling,
        Function::BreakOut => HoleKind::Perforation,
        Function::Mechanical => HoleKind::Mechanical,
        Function::Slot => HoleKind::Slot,
    }
}

/// Via against component is the contradiction that changes how a hole is made.
const fn contradicts(tool: Function, land: LandFunction) -> bool {
    matches!(
        (tool, land),
        (Function::Via, LandFunction::Component | LandFunction::PressFit)
            | (Function::Component | Function::PressFit, LandFunction::Via)
            | (Function::Component, LandFunction::PressFit)
    )
}

fn by_surroundings(
    number: u32,
    hole: &Hole,
    board: &Board,
    ground: &Ground<'_>,
    around: &Surroundings,
    corners: &Corners,
    reasons: &mut Vec<Reason>,
) -> HoleKind {
    let (kind, reason) = if is_half_hole(number, hole, board, ground) {
        (HoleKind::HalfHole, Reason::CutByEdge)
    } else if axis(hole).len() > 1 {
        (HoleKind::Slot, Reason::ToolTravels)
    } else if corners.mounts(hole) {
        (HoleKind::Mounting, Reason::NearCorner)
    } else {
        match hole.plating {
            HolePlating::Unplated => (HoleKind::Mechanical, Reason::NotPlated),
            HolePlating::Unclear => (HoleKind::Unclear, Reason::Undecided),
            HolePlating::Plated => plated_kind(hole, around, board.copper.len() as u32),
        }
    };
    reasons.push(reason);
    reasons.extend(not_the_other(reason));
    kind
}

/// Why it is not what it might also be taken for.
const fn not_the_other(reason: Reason) -> Option<Reason> {
    Some(match reason {
        Reason::LeadSoldered => Reason::NotViaOpen,
        Reason::LargePlated | Reason::LeadPasted => Reason::NotViaLarge,
        Reason::SmallPlated => Reason::NotComponentSmall,
        Reason::NotPlated => Reason::NotComponentBare,
        _ => return None,
    })
}

fn plated_kind(hole: &Hole, around: &Surroundings, layers: u32) -> (HoleKind, Reason) {
    let size = hole.finished.unwrap_or(0);
    let stated = around.stated.and_then(|s| s.via);
    let (first, last) = (hole.span.0.max(1), hole.span.1.min(layers));
    match (around.function, around.opened) {
        (Some(LandFunction::Via), _) => (HoleKind::Via, Reason::Land(LandFunction::Via)),
        (Some(LandFunction::Component), _) => (HoleKind::Component, Reason::Land(LandFunction::Component)),
        (Some(LandFunction::PressFit), _) => (HoleKind::PressFit, Reason::Land(LandFunction::PressFit)),
        (Some(LandFunction::Washer), _) => (HoleKind::Mounting, Reason::Land(LandFunction::Washer)),
        _ if first > 1 || last < layers => (HoleKind::Via, Reason::EndsInside(first, last)),
        _ if stated == Some(true) => (HoleKind::Via, Reason::NetlistVia),
        _ if stated == Some(false) => (HoleKind::Component, Reason::NetlistPin),
        _ if size <= VIA_UP_TO => (HoleKind::Via, Reason::SmallPlated),
        (_, Some(Sides::Neither)) if size <= COVERED_VIA_UP_TO => (HoleKind::Via, Reason::CoveredPlated),
        (_, None) if around.pasted => (HoleKind::Component, Reason::LeadPasted),
        (_, None) => (HoleKind::Component, Reason::LargePlated),
        _ => (HoleKind::Component, Reason::LeadSoldered),
    }
}

fn is_half_hole(number: u32, hole: &Hole, board: &Board, ground: &Ground<'_>) -> bool {
    let (Some(edge), Some(size), HolePlating::Plated) = (ground.edge, hole.finished, hole.plating) else {
        return false;
    };
    let met = ground.touches.of(number);
    let last = board.copper.len() as u32;
    let outer = |layer: u32| met.iter().any(|t| t.layer + 1 == layer);
    outer(1) && outer(last) && edge.index.nearest(&axis(hole), size / 2, |_, _| true).is_some()
}
