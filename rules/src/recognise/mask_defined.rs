//! Lands whose solderable area the mask bounds: openings smaller than their land all round.

use std::collections::BTreeMap;

use landgap_parser::Nm;

use super::lands::{Land, Places, SAME_PLACE};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};
use crate::geometry::flatten::FLATTENING;

/// Mask lies on the land by at least this all round.
const OVER: Nm = 10_000;
/// Fewest alike that are taken as meant where nothing names them.
const FEWEST: usize = 4;
/// Overlaps that differ by less are the same.
const SAME: Nm = 5_000;

/// One feature a land. The size is how far mask lies on it, least; settled where the data name it.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let last = board.copper.len() as u32;
    let holes = Places::of_holes(board);
    let mut alike: BTreeMap<(u32, u32, Nm), Vec<Feature>> = BTreeMap::new();
    let mut found = Vec::new();
    for land in lands.all().iter().filter(|l| l.layer == 1 || l.layer == last && last > 1) {
        let side = if land.layer == 1 { Side::Top } else { Side::Bottom };
        let stated = lands.functions(board, land).get(1).map(String::as_str);
        let Some(over) = overlap(ground, land, side).filter(|over| *over >= OVER) else { continue };
        if stated == Some("CuDef") || holes.has(land.at, land.least() / 2) {
            continue;
        }
        let mut feature = Feature::new(FeatureKind::MaskDefinedLand, Some(LayerRef::Copper(land.layer)), land.at);
        feature.size = Some(over);
        feature.uncertainty = 2 * FLATTENING;
        feature.sources = vec![land.source];
        if stated == Some("SMDef") {
            feature.settled = true;
            found.push(feature.because("its land carries the attribute SMDef, and mask lies on it all round"));
        } else {
            alike.entry((land.source.file, land.aperture, over / SAME)).or_default().push(feature);
        }
    }
    let groups = alike.into_values().filter(|group| group.len() >= FEWEST);
    found.extend(groups.flatten().map(|f| f.because("mask lies on it all round, as on at least three others like it")));
    found
}

/// How far mask lies on a land on its freest side; negative where the opening is larger. `None` where there is no
/// opening of its own over it.
pub(super) fn overlap(ground: &Ground<'_>, land: &Land, side: Side) -> Option<Nm> {
    let island = ground.mask(side)?.island_at(land.at)?;
    let opening = ground.geometry.image(LayerRef::Mask(side))?.islands.get(island as usize)?.bounds;
    let middle = opening.middle();
    if land.at.distance(middle) > SAME_PLACE as f64 {
        return None;
    }
    Some((land.size.0 - opening.width()).min(land.size.1 - opening.height()) / 2)
}
