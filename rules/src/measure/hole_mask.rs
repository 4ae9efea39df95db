//! Mask round non-plated holes, which no mask may reach into.

use super::openings::{Openings, SideOpenings};
use super::touch::axis;
use super::{Bench, Found, HORIZON, uncertainty};
use crate::board::{Hole, HoleKind, HolePlating};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::Span;

/// Every non-plated hole in the board, on every mask. Break-off perforations and half-holes are cut through and left out.
pub(super) fn round_holes(bench: &Bench<'_>, openings: &Openings<'_>) -> Found {
    let mut found = Found::default();
    for (number, hole) in (0u32..).zip(&bench.board.holes) {
        let Some(size) = hole.finished.filter(|_| counts(bench, hole)) else { continue };
        for side in openings.sides() {
            found.looked_at += 1;
            if let Some((value, span)) = to_mask(side, hole, size) {
                found.facts.push(fact(bench, side, number, hole, value, &span));
            }
        }
    }
    found
}

fn counts(bench: &Bench<'_>, hole: &Hole) -> bool {
    let cut = matches!(hole.kind, HoleKind::Perforation | HoleKind::HalfHole);
    hole.plating == HolePlating::Unplated && !cut && bench.edge.is_none_or(|edge| edge.holds(hole.at()))
}

fn to_mask(side: &SideOpenings<'_>, hole: &Hole, size: i64) -> Option<(f64, Span)> {
    let (mask, path, radius) = (side.face.mask, axis(hole), size as f64 / 2.0);
    let Some(opening) = mask.island_at(path[0]) else {
        let at = crate::geometry::distance::float(path[0]);
        return Some((-radius, Span { length: radius, from: at, to: (at.0 + radius, at.1), run: None }));
    };
    let (_, span) = mask.nearest(&path, HORIZON + size / 2, |_, e| e.island == opening)?;
    Some((span.length - radius, span))
}

fn fact(bench: &Bench<'_>, side: &SideOpenings<'_>, number: u32, hole: &Hole, value: f64, span: &Span) -> Fact {
    let (from, to) = span.points();
    let covered = value.abs() >= span.length && value < 0.0;
    let lines = &bench.mask_lines[side.face.position];
    Fact {
        kind: FactKind::HoleToMask,
        layer: Some(side.face.openings.layer),
        value: value.round() as i64,
        uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(side.face.openings.step),
        from,
        to,
        nets: Vec::new(),
        holes: vec![number],
        sources: [hole.source].into_iter().chain(lines.at(to).filter(|_| !covered)).collect(),
        length: None,
        run: None,
        same_net: false,
    }
}
