//! A mask drawn as mask: what is drawn is covered, not open.

use super::face::{Face, faces};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef};
use crate::geometry::{Bounds, engine};

/// Drawn at least this share of the board.
const DRAWN: f64 = 0.5;
/// Of the lands, at most this share lies where something is drawn.
const ON_LANDS: f64 = 0.2;
/// Fewest lands to tell by.
const FEW: usize = 4;

/// One feature a mask. The size is nothing; the reasons give the shares.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let body = body_mm2(ground);
    faces(board, ground).iter().filter_map(|face| inverse(face, lands, body)).collect()
}

/// Area inside the largest contour of the outline; without one, of the box round all copper.
fn body_mm2(ground: &Ground<'_>) -> f64 {
    let largest = ground.geometry.outline.iter().map(|c| engine::doubled_area(c).unsigned_abs() as f64 / 2e12);
    largest.reduce(f64::max).unwrap_or_else(|| {
        let mut all = Bounds::EMPTY;
        for island in ground.geometry.copper.iter().flat_map(|l| &l.islands) {
            all.add(island.bounds.min);
            all.add(island.bounds.max);
        }
        all.width() as f64 * all.height() as f64 / 1e12
    })
}

fn inverse(face: &Face<'_>, lands: &Lands, body: f64) -> Option<Feature> {
    let share = face.open_mm2() / body;
    if body <= 0.0 || share < DRAWN {
        return None;
    }
    let all: Vec<_> = face.lands(lands).collect();
    let drawn = all.iter().filter(|l| face.mask.island_at(l.at).is_some()).count();
    if all.len() < FEW || drawn as f64 > all.len() as f64 * ON_LANDS {
        return None;
    }
    let at = face.openings.islands.first()?.bounds.min;
    let mut feature = Feature::new(FeatureKind::InverseMask, Some(LayerRef::Mask(face.side)), at)
        .because(format!("{:.0} % of the board's area is drawn", share * 100.0))
        .because(format!("what is drawn leaves out {} of {} lands", all.len() - drawn, all.len()));
    feature.sources = face.openings.islands.first().map(|i| i.source).into_iter().collect();
    Some(feature)
}
