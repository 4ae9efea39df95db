//! Marks for optical alignment: round lands with a clear ring, no hole and no net.

use std::collections::BTreeMap;

use landgap_parser::Nm;

use super::lands::{Land, Places};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};

/// Usual sizes: 0.5 to 3 mm.
const SIZES: std::ops::RangeInclusive<Nm> = 500_000..=3_000_000;
/// More lands alike than this are something else.
const FEW: usize = 12;

/// Named ones, and those whose likes are all alone. The size is the land's diameter; settled unless mask covers it.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let last = board.copper.len() as u32;
    let holes = Places::of_holes(board);
    let outer = |l: &&Land| l.layer == 1 || l.layer == last;
    let mut named = Vec::new();
    let mut alike: BTreeMap<(u32, u32), Vec<&Land>> = BTreeMap::new();
    for land in lands.all().iter().filter(|l| l.round).filter(outer) {
        match lands.function(board, land) {
            Some("FiducialPad") => {
                named.push(feature(ground, land, last).because("its land carries the attribute FiducialPad"))
            }
            None if SIZES.contains(&land.least()) => {
                alike.entry((land.source.file, land.aperture)).or_default().push(land);
            }
            _ => {}
        }
    }
    let groups = alike.into_values().filter(|group| (2..=FEW).contains(&group.len()));
    let marks = groups.filter(|group| group.iter().all(|l| is_mark(board, ground, lands, &holes, l)));
    named.extend(marks.flat_map(|group| marked(ground, &group, last)));
    named
}

/// Alone in its clear ring: no hole, no net of more than itself.
fn is_mark(board: &Board, ground: &Ground<'_>, lands: &Lands, holes: &Places, land: &Land) -> bool {
    if holes.has(land.at, land.least()) || lands.net(board, land).is_some() {
        return false;
    }
    let position = land.layer as usize - 1;
    let Some(island) = ground.copper.get(position).and_then(|index| index.island_at(land.at)) else { return false };
    let shape = &ground.geometry.copper[position].islands[island as usize];
    let alone = shape.bounds.width() <= land.least() + 2_000 && shape.bounds.height() <= land.least() + 2_000;
    let ring = land.least() * 7 / 8;
    alone && ground.copper[position].nearest(&[land.at], ring, |_, e| e.island != island).is_none()
}

/// A group counts only where at least two of it are opened wider than their copper; the others are then covered by mistake.
fn marked(ground: &Ground<'_>, group: &[&Land], last: u32) -> Vec<Feature> {
    let wide = group.iter().filter(|l| opening(ground, l, last).is_some_and(|o| o * 2 >= l.least() * 3)).count();
    if wide < 2 {
        return Vec::new();
    }
    let reason = format!("{} equal round lands stand alone in a clear ring, with no hole and no net", group.len());
    group.iter().map(|l| feature(ground, l, last).because(reason.clone())).collect()
}

fn feature(ground: &Ground<'_>, land: &Land, last: u32) -> Feature {
    let mut feature = Feature::new(FeatureKind::Fiducial, Some(LayerRef::Copper(land.layer)), land.at);
    let known = ground.mask(side(land, last)).is_some();
    feature.settled = !known || opening(ground, land, last).is_some();
    if !feature.settled {
        feature = feature.because("no opening of the mask lies over it");
    }
    feature.size = Some(land.least());
    feature.sources = vec![land.source];
    feature
}

const fn side(land: &Land, last: u32) -> Side {
    if land.layer == last && last > 1 { Side::Bottom } else { Side::Top }
}

/// Smaller extent of the opening over a land.
fn opening(ground: &Ground<'_>, land: &Land, last: u32) -> Option<Nm> {
    let side = side(land, last);
    let island = ground.mask(side)?.island_at(land.at)?;
    let mask = ground.geometry.image(LayerRef::Mask(side))?;
    let bounds = mask.islands.get(island as usize)?.bounds;
    Some(bounds.width().min(bounds.height()))
}
