//! Holes and slots of the drill data that the outline gives as a cut-out as well.

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, Hole, HolePlating};
use crate::geometry::Bounds;
use crate::measure::touch::axis;

/// Shapes that differ by no more than this are the same.
const ALIKE: Nm = 10_000;

/// The size is the largest difference between the two shapes; settled where they are alike and the hole is not plated.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let boxes: Vec<Bounds> = ground.geometry.outline.iter().map(|c| Bounds::of(c)).collect();
    (0u32..).zip(&board.holes).filter_map(|(i, hole)| feature(i, hole, ground, &boxes)).collect()
}

fn feature(number: u32, hole: &Hole, ground: &Ground<'_>, boxes: &[Bounds]) -> Option<Feature> {
    let (edge, size) = (ground.edge?, hole.finished.filter(|d| *d > 0)?);
    let path = axis(hole);
    let own = Bounds::of(&path).grown(size / 2);
    let middle = Point::new(own.min.x.midpoint(own.max.x), own.min.y.midpoint(own.max.y));
    let around = edge.index.enclosers(middle);
    // Inside an even number of contours lies no material: the innermost one is the cut-out.
    if around.is_empty() || around.len() % 2 == 1 {
        return None;
    }
    let cut = boxes.get(*around.last()? as usize)?;
    let area = |b: &Bounds| b.width() as f64 * b.height() as f64;
    if area(&own) < area(cut) / 2.0 || area(cut) < area(&own) / 2.0 {
        return None;
    }
    let off = [cut.min.x - own.min.x, cut.min.y - own.min.y, cut.max.x - own.max.x, cut.max.y - own.max.y];
    let most = off.into_iter().map(Nm::abs).max().unwrap_or(0);
    let alike = most <= ALIKE;
    let mut feature = Feature::new(FeatureKind::DoubledCutOut, None, middle).because(format!(
        "the drill data give {:.3} mm by {:.3} mm, the outline {:.3} mm by {:.3} mm at the same place",
        own.width() as f64 / 1e6,
        own.height() as f64 / 1e6,
        cut.width() as f64 / 1e6,
        cut.height() as f64 / 1e6
    ));
    if alike && hole.plating == HolePlating::Plated {
        feature = feature.because("the drill data call it plated; a cut-out of the outline is milled after plating");
    }
    feature.settled = alike && hole.plating != HolePlating::Plated;
    feature.size = Some(most);
    feature.holes = vec![number];
    feature.sources = vec![hole.source];
    Some(feature)
}
