//! Vias of one net in one large opened land, which carry heat.

use landgap_parser::Nm;

use super::lands::{Land, Places};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, HoleKind, LayerRef, Side};

/// Smaller extent of the land, at least.
const LEAST_LAND: Nm = 1_200_000;
/// Fewest vias of a field.
const FEWEST: usize = 4;

/// One feature a land. The size is the land's smaller extent.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let last = board.copper.len() as u32;
    let vias = (0u32..).zip(&board.holes).filter(|(_, h)| h.kind == HoleKind::Via).map(|(i, h)| (h.at(), i));
    let vias = Places::new(vias.collect());
    let outer = |l: &&Land| (l.layer == 1 || l.layer == last) && l.least() >= LEAST_LAND;
    lands.all().iter().filter(outer).filter_map(|land| field(board, ground, &vias, land, last)).collect()
}

fn field(board: &Board, ground: &Ground<'_>, vias: &Places, land: &Land, last: u32) -> Option<Feature> {
    let side = if land.layer == 1 { Side::Top } else { Side::Bottom };
    let reach = land.size.0.max(land.size.1);
    let inside = |i: &u32| {
        let at = board.holes[*i as usize].at();
        (at.x - land.at.x).abs() * 2 <= land.size.0 && (at.y - land.at.y).abs() * 2 <= land.size.1
    };
    let mut holes: Vec<u32> = vias.within(land.at, reach).filter(inside).collect();
    let opened = ground.mask(side).is_some_and(|m| m.island_at(land.at).is_some());
    if holes.len() < FEWEST || !opened || last == 0 {
        return None;
    }
    holes.sort_unstable();
    let mut feature = Feature::new(FeatureKind::ThermalVias, Some(LayerRef::Copper(land.layer)), land.at)
        .because(format!("{} vias stand in one land that is opened in mask", holes.len()));
    feature.size = Some(land.least());
    feature.settled = true;
    feature.holes = holes;
    feature.sources = vec![land.source];
    Some(feature)
}
