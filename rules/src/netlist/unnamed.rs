//! Nets of the copper with lands to solder to that no point of the statement stands on.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Point, Polarity, Shape};

use super::{Ground, Unnamed};
use crate::board::{LayerRef, Side, Source};

/// A net of fewer lands than this joins nothing and need not be known.
const FEWEST: usize = 2;

/// Nets with at least two lands that are open in the mask, less those that are `stated`.
pub(super) fn find(stated: &BTreeSet<u32>, ground: &Ground<'_>) -> Vec<Unnamed> {
    let mut lands: BTreeMap<u32, BTreeMap<Point, (LayerRef, Source)>> = BTreeMap::new();
    for (position, layer) in ground.board.copper.iter().enumerate() {
        let (Some(index), Some(image)) = (ground.copper.get(position), ground.geometry.copper.get(position)) else {
            continue;
        };
        if layer.side == Side::Inner || image.islands.iter().all(|i| stated.contains(&i.net)) {
            continue;
        }
        let Some(Some(drawn)) = ground.board.images.get(layer.file as usize) else { continue };
        for object in drawn.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let Shape::Flash { at, .. } = object.shape else { continue };
            let Some(island) = index.island_at(at) else { continue };
            let net = image.islands[island as usize].net;
            if !stated.contains(&net) && is_open(at, layer.side, ground) {
                let source = Source { file: layer.file, line: object.line };
                lands.entry(net).or_default().entry(at).or_insert((image.layer, source));
            }
        }
    }
    let of = |lands: BTreeMap<Point, (LayerRef, Source)>| {
        let count = lands.len() as u32;
        let (at, (layer, source)) = lands.into_iter().next()?;
        Some(Unnamed { at, layer, lands: count, source })
    };
    lands.into_values().filter(|l| l.len() >= FEWEST).filter_map(of).collect()
}

/// Whether the mask of a side, where there is one, is open at a point.
fn is_open(at: Point, side: Side, ground: &Ground<'_>) -> bool {
    let mask = ground.geometry.masks.iter().position(|m| m.layer == LayerRef::Mask(side));
    mask.and_then(|m| ground.masks.get(m)).is_none_or(|openings| openings.island_at(at).is_some())
}
