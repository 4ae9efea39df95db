//! Non-plated holes that stand in a land or cut into copper.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, Hole, HolePlating, LayerRef};
use crate::geometry::distance::Segment;
use crate::geometry::edges::path_segment;
use crate::geometry::flatten::FLATTENING;
use crate::geometry::{Bounds, Island};
use crate::measure::touch::{Touch, axis};

/// A land under a screw head reaches at most so far beyond the hole.
const WASHER: Nm = 3_000_000;
/// A land drawn as large as its hole is gone when the hole is drilled; allow for rounding.
const ROUNDING: Nm = 20_000;

fn unplated(board: &Board) -> impl Iterator<Item = (u32, &Hole, Nm)> {
    let each = (0u32..).zip(&board.holes).filter(|(_, h)| h.plating == HolePlating::Unplated);
    each.filter_map(|(i, h)| Some((i, h, h.finished.filter(|d| *d > 0)?)))
}

/// Both.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let mut found = in_lands(board, ground, lands);
    found.extend(cutting(board, ground, lands));
    found
}

/// Non-plated holes with copper all round. The size is the least ring over all layers; settled where every
/// such land stands alone.
fn in_lands(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let holes_on = holes_on(board, ground);
    let alone = |t: &Touch, hole: &Hole, size: Nm| {
        let island = &ground.geometry.copper[t.layer as usize].islands[t.island as usize];
        let room = Bounds::of(&axis(hole)).grown(size / 2 + WASHER);
        let held = |p: Point| p.x >= room.min.x && p.x <= room.max.x && p.y >= room.min.y && p.y <= room.max.y;
        holes_on.get(&(t.layer, t.island)) == Some(&1) && held(island.bounds.min) && held(island.bounds.max)
    };
    let mut found = Vec::new();
    for (i, hole, size) in unplated(board) {
        let around: Vec<&Touch> =
            ground.touches.of(i).iter().filter(|t| t.reach > (size / 2 + ROUNDING) as f64).collect();
        let Some(least) = around.iter().min_by(|a, b| a.reach.total_cmp(&b.reach)) else { continue };
        let settled = around.iter().all(|t| alone(t, hole, size));
        let mut feature = of_touch(FeatureKind::UnplatedLand, i, hole, least).because(if settled {
            "copper lies all round it and stands alone: it may be meant for a screw head"
        } else {
            "copper lies all round it and leads on to more than a screw head would need"
        });
        feature.size = Some((least.reach - size as f64 / 2.0).round() as Nm);
        feature.settled = settled;
        found.push(feature);
    }
    found
}

/// Non-plated holes whose wall cuts copper. The size is how far the copper reaches into the hole.
fn cutting(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let mut found = Vec::new();
    for (i, hole, size) in unplated(board) {
        let path = axis(hole);
        let cut = |t: &&Touch| {
            let island = &ground.geometry.copper[t.layer as usize].islands[t.island as usize];
            t.reach <= (size / 2 - ROUNDING) as f64 && depth(t, size) > ROUNDING && !gone(island, &path, size)
        };
        let Some(worst) = ground.touches.of(i).iter().filter(cut).max_by_key(|t| depth(t, size)) else { continue };
        let mut feature = of_touch(FeatureKind::CutCopper, i, hole, worst)
            .because("its wall cuts through copper, which then stands bare in the hole or is plated with the rest");
        feature.size = Some(depth(worst, size));
        found.push(feature);
    }
    found
}

/// How far copper reaches into a hole from its wall.
fn depth(touch: &Touch, size: Nm) -> Nm {
    (size as f64 / 2.0 - (-touch.reach).max(0.0)).round() as Nm
}

/// Whether the hole takes the whole island away.
fn gone(island: &Island, path: &[Point], size: Nm) -> bool {
    let limit = (size / 2 + ROUNDING) as f64;
    let inside = |p: Point| path_segment(path, Segment { a: p, b: p }).length <= limit;
    island.contours.first().is_some_and(|c| c.iter().all(|p| inside(*p)))
}

fn of_touch(kind: FeatureKind, number: u32, hole: &Hole, touch: &Touch) -> Feature {
    let mut feature = Feature::new(kind, Some(LayerRef::Copper(touch.layer + 1)), hole.at());
    feature.uncertainty = 2 * hole.step + FLATTENING;
    feature.holes = vec![number];
    feature.sources = vec![hole.source];
    feature.between = Some(touch.span.points());
    feature
}

/// How many holes meet each island.
fn holes_on(board: &Board, ground: &Ground<'_>) -> BTreeMap<(u32, u32), u32> {
    let mut count = BTreeMap::new();
    for touch in (0..board.holes.len() as u32).flat_map(|i| ground.touches.of(i)) {
        *count.entry((touch.layer, touch.island)).or_default() += 1;
    }
    count
}
