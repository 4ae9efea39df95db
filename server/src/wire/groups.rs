//! What stands on the board, told in groups: ten thousand like holes are one row.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use landgap_parser::Point;
use landgap_rules::board::{Board, Feature, FeatureKind, Hole, HoleKind, HolePlating, LayerRef};

use super::board::point;
use super::report::{FeatureGroup, HoleGroup};

/// So many places are named for each group.
const PLACES: usize = 5;

/// A group in the making: how many, and the first places.
#[derive(Default)]
struct Heap {
    count: u32,
    places: Vec<Point>,
}

impl Heap {
    fn add(&mut self, at: Point) {
        self.count += 1;
        if self.places.len() < PLACES {
            self.places.push(at);
        }
    }
}

/// Holes by kind, plating and reasons, the larger groups of a kind first.
#[must_use]
pub fn holes(holes: &[Hole]) -> Vec<HoleGroup> {
    let mut heaps: BTreeMap<(HoleKind, HolePlating, Vec<String>), Heap> = BTreeMap::new();
    for hole in holes {
        heaps.entry((hole.kind, hole.plating, hole.why())).or_default().add(hole.at());
    }
    let mut rows: Vec<_> = heaps.into_iter().collect();
    rows.sort_by_key(|((kind, plating, _), heap)| (*kind, *plating, Reverse(heap.count)));
    let row = |((kind, plating, why), heap): ((HoleKind, HolePlating, Vec<String>), Heap)| HoleGroup {
        kind: kind.word().to_owned(),
        plating: plating.word().to_owned(),
        count: heap.count,
        why,
        places_um: heap.places.into_iter().map(point).collect(),
    };
    rows.into_iter().map(row).collect()
}

/// Features by kind, layer and reasons, in the order of their kinds.
#[must_use]
pub fn features(board: &Board) -> Vec<FeatureGroup> {
    type Key<'a> = (FeatureKind, Option<LayerRef>, Vec<&'a str>);
    fn key(feature: &Feature) -> Key<'_> {
        (feature.kind, feature.layer, feature.reasons.iter().map(AsRef::as_ref).collect())
    }
    let mut heaps: BTreeMap<Key<'_>, Heap> = BTreeMap::new();
    for feature in &board.features {
        heaps.entry(key(feature)).or_default().add(feature.at);
    }
    let row = |((kind, layer, why), heap): (Key<'_>, Heap)| FeatureGroup {
        kind: kind.word().to_owned(),
        layer: layer.map(LayerRef::name),
        count: heap.count,
        why: why.into_iter().map(str::to_owned).collect(),
        places_um: heap.places.into_iter().map(point).collect(),
    };
    heaps.into_iter().map(row).collect()
}
