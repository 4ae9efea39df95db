//! How mask lies on vias, and how near the openings of soldered lands come to them.

use super::openings::{Openings, SideOpenings};
use super::touch::axis;
use super::{Bench, Found, HORIZON, uncertainty};
use crate::board::{Hole, HoleKind, Side};
use crate::fact::{Cover, Fact, FactKind};
use crate::geometry::distance::Span;
use crate::recognise::lands::SAME_PLACE;

/// An opening that comes this little over the wall of a hole does not cut it.
const GRAZED: f64 = 1_000.0;

/// The cover of every via on both sides, by number of the hole.
pub(super) fn covers(bench: &Bench<'_>, openings: &Openings<'_>) -> Vec<[Option<Cover>; 2]> {
    let of = |hole: &Hole, side| {
        let side = openings.side(side).filter(|s| is_via_on(hole, s))?;
        Some(cover(hole, side))
    };
    bench.board.holes.iter().map(|hole| [of(hole, Side::Top), of(hole, Side::Bottom)]).collect()
}

fn is_via_on(hole: &Hole, side: &SideOpenings<'_>) -> bool {
    let number = side.face.copper.number;
    hole.kind == HoleKind::Via && hole.span.0 <= number && number <= hole.span.1
}

fn cover(hole: &Hole, side: &SideOpenings<'_>) -> Cover {
    let path = axis(hole);
    let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
    let mask = side.face.mask;
    let cut = radius > GRAZED && mask.nearest(&path, (radius - GRAZED) as i64, |_, _| true).is_some();
    match mask.island_at(path[0]) {
        _ if cut => Cover::Partly,
        None => Cover::Covered,
        Some(opening) if has_other_land(side, opening, hole) => Cover::InLand,
        Some(_) => Cover::Opened,
    }
}

/// Whether a land that is not the via's own lies in an opening.
fn has_other_land(side: &SideOpenings<'_>, opening: u32, hole: &Hole) -> bool {
    side.list[opening as usize].lands.iter().any(|l| l.at.distance(hole.at()) > SAME_PLACE as f64)
}

/// Openings of soldered lands to the walls of vias beside them.
pub(super) fn to_vias(bench: &Bench<'_>, openings: &Openings<'_>) -> Found {
    let mut found = Found::default();
    for side in openings.sides() {
        let soldered: Vec<bool> = side.list.iter().map(|o| o.lands.iter().any(|l| l.soldered)).collect();
        for (number, hole) in (0u32..).zip(&bench.board.holes) {
            let Some(size) = hole.finished.filter(|_| is_via_on(hole, side)) else { continue };
            found.looked_at += 1;
            let Some((value, span)) = to_via(side, &soldered, hole, size) else { continue };
            found.facts.push(fact(bench, side, number, hole, value, &span));
        }
    }
    found
}

/// The least distance of a soldered land's opening from a via's wall, with its span from axis to opening.
fn to_via(side: &SideOpenings<'_>, soldered: &[bool], hole: &Hole, size: i64) -> Option<(f64, Span)> {
    let (mask, path, radius) = (side.face.mask, axis(hole), size as f64 / 2.0);
    let inside = mask.island_at(path[0]);
    let own = inside.filter(|o| !has_other_land(side, *o, hole));
    let other =
        |_: usize, e: &crate::geometry::edges::BoundaryEdge| soldered[e.island as usize] && Some(e.island) != own;
    let (edge, span) = mask.nearest(&path, HORIZON + size / 2, other)?;
    match inside {
        // The whole hole lies in the land's opening: that is a hole in a land, not beside it.
        Some(o) if Some(o) != own && span.length >= radius => None,
        Some(o) if o == mask.edges()[edge].island => Some((-span.length - radius, span)),
        _ => Some((span.length - radius, span)),
    }
}

fn fact(bench: &Bench<'_>, side: &SideOpenings<'_>, number: u32, hole: &Hole, value: f64, span: &Span) -> Fact {
    let (axis, to) = span.points();
    let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
    let part = if span.length > 0.0 { radius / span.length } else { 0.0 };
    let wall = (span.from.0 + (span.to.0 - span.from.0) * part, span.from.1 + (span.to.1 - span.from.1) * part);
    let from = if part.is_finite() { crate::geometry::distance::round(wall) } else { axis };
    Fact {
        kind: FactKind::OpeningToVia,
        layer: Some(side.face.openings.layer),
        value: value.round() as i64,
        uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(side.face.openings.step),
        from,
        to,
        nets: Vec::new(),
        holes: vec![number],
        sources: [hole.source].into_iter().chain(bench.mask_lines[side.face.position].at(to)).collect(),
        length: None,
        run: None,
        same_net: false,
    }
}
