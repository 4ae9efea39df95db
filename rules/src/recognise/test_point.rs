//! Lands for a test probe: round, opened, joined to a net, without hole and without paste.

use landgap_parser::Nm;

use super::lands::{Land, Places, SAME_PLACE};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};

/// Usual sizes: 0.5 to 2.5 mm.
const SIZES: std::ops::RangeInclusive<Nm> = 500_000..=2_500_000;

/// Named ones; where the data name no lands, those that look like one. The size is the land's diameter.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let last = board.copper.len() as u32;
    let holes = Places::of_holes(board);
    let mut found = Vec::new();
    for side in [Side::Top, Side::Bottom] {
        let layer = if side == Side::Top { 1 } else { last };
        if side == Side::Bottom && last < 2 {
            continue;
        }
        let files: Vec<u32> = board.pastes.iter().filter(|p| p.side == side).map(|p| p.file).collect();
        let paste = (!files.is_empty()).then(|| Places::of_images(board, files.into_iter()));
        for land in lands.all().iter().filter(|l| l.layer == layer) {
            let reason = match lands.function(board, land) {
                Some("TestPad") => "its land carries the attribute TestPad",
                None if looks_like(ground, &holes, paste.as_ref(), land, side) => {
                    "a round land, opened in mask and joined to a net, without hole and without paste"
                }
                _ => continue,
            };
            let mut feature =
                Feature::new(FeatureKind::TestPoint, Some(LayerRef::Copper(layer)), land.at).because(reason);
            feature.size = Some(land.least());
            feature.settled = true;
            feature.sources = vec![land.source];
            found.push(feature);
        }
    }
    found
}

fn looks_like(ground: &Ground<'_>, holes: &Places, paste: Option<&Places>, land: &Land, side: Side) -> bool {
    let Some(paste) = paste else { return false };
    let shaped = land.round && SIZES.contains(&land.least());
    if !shaped || holes.has(land.at, land.least() / 2) || paste.has(land.at, SAME_PLACE) {
        return false;
    }
    let opened = ground.mask(side).is_some_and(|m| m.island_at(land.at).is_some());
    opened && joined(ground, land)
}

/// Whether its copper goes on beyond itself.
fn joined(ground: &Ground<'_>, land: &Land) -> bool {
    let position = land.layer as usize - 1;
    let Some(island) = ground.copper.get(position).and_then(|index| index.island_at(land.at)) else { return false };
    let bounds = ground.geometry.copper[position].islands[island as usize].bounds;
    bounds.width() > land.size.0 + 2_000 || bounds.height() > land.size.1 + 2_000
}
