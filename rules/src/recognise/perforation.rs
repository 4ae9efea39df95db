//! Break-off perforations: rows of small equal non-plated holes meant to be close to each other and to the edge.

use std::collections::BTreeSet;

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, HolePlating};
use crate::geometry::distance::{Segment, float, point_segment};

const LARGEST: Nm = 1_000_000;
const FEWEST: usize = 3;
/// The ends of a row lie at most this far from the cut that ends the tab.
const TO_CUT: Nm = 1_500_000;

/// Rows of at least three equal non-plated holes up to 1 mm, each no further than two and a half
/// diameters from the next.
pub(super) fn rows(board: &Board) -> Vec<Vec<u32>> {
    let small = |h: &crate::board::Hole| h.plating == HolePlating::Unplated && h.finished.is_some_and(|d| d <= LARGEST);
    let groups = super::slot_chain::near(board, small, |size| size * 5 / 2);
    // Hits that overlap make a slot.
    let slots: BTreeSet<u32> = super::slot_chain::chains(board).into_iter().flatten().collect();
    groups.into_iter().filter(|g| g.len() >= FEWEST && !g.iter().any(|i| slots.contains(i))).collect()
}

/// Rows that end at a cut on both sides: the tabs of a customer's array. The size is the tab's width.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let Some(edge) = ground.edge else { return Vec::new() };
    let to_cut = |from: Point| edge.index.nearest(&[from], TO_CUT, |_, _| true);
    let mut found = Vec::new();
    for row in rows(board) {
        let Some((first, last)) = ends(board, &row) else { continue };
        let (Some((a, near)), Some((b, far))) = (to_cut(first), to_cut(last)) else { continue };
        let width = first.distance(last) + near.length + far.length;
        if a == b || width <= 0.0 {
            continue;
        }
        let mut feature = Feature::new(FeatureKind::Perforation, None, middle(first, last))
            .because(format!("{} small equal non-plated holes stand in a line from cut to cut", row.len()));
        feature.size = Some(width.round() as Nm);
        feature.between = Some((near.points().1, far.points().1));
        feature.settled = crossing(ground, first, last).is_none();
        feature.sources = row.iter().map(|i| board.holes[*i as usize].source).collect();
        if let Some(layer) = crossing(ground, first, last) {
            feature = feature.because(format!("copper {layer} crosses the line of the holes"));
        }
        feature.holes = row;
        found.push(feature);
    }
    found
}

/// The two holes furthest apart, if all others lie on the line between them.
fn ends(board: &Board, row: &[u32]) -> Option<(Point, Point)> {
    let at = |i: &u32| board.holes[*i as usize].at();
    let (low, high) = (row.iter().map(at).min()?, row.iter().map(at).max()?);
    let size = board.holes[*row.first()? as usize].finished?;
    let line = Segment { a: low, b: high };
    row.iter().all(|i| point_segment(float(at(i)), line).length <= size as f64 / 4.0).then_some((low, high))
}

/// The first copper layer whose copper crosses the line of a row.
fn crossing(ground: &Ground<'_>, first: Point, last: Point) -> Option<usize> {
    let crosses = |index: &crate::geometry::edges::EdgeIndex| {
        index.island_at(middle(first, last)).is_some() || index.nearest(&[first, last], 0, |_, _| true).is_some()
    };
    ground.copper.iter().position(crosses).map(|i| i + 1)
}

fn middle(a: Point, b: Point) -> Point {
    Point::new(a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2)
}
