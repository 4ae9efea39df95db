//! Lands in line on both outer layers, like others that have holes, and no hole.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::Nm;

use super::lands::{Land, Places};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind};

/// So many of the same aperture have a hole, at least.
const HOLED: u32 = 2;

/// Stacks of lands without a hole. The size is the land's diameter.
pub(super) fn of(board: &Board, _: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let last = board.copper.len() as u32;
    if last < 2 || board.holes.is_empty() {
        return Vec::new();
    }
    let holes = Places::of_holes(board);
    let holed = |land: &Land| holes.has(land.at, land.least() / 2);
    let mut counts: BTreeMap<(u32, u32), (u32, u32)> = BTreeMap::new();
    let mut bare = Vec::new();
    for (land, opposite) in stacks(lands, last) {
        let count = counts.entry((land.source.file, land.aperture)).or_default();
        let has = holed(land);
        *(if has { &mut count.0 } else { &mut count.1 }) += 1;
        if !has {
            bare.push((land, opposite));
        }
    }
    let usual = |land: &Land| {
        counts
            .get(&(land.source.file, land.aperture))
            .is_some_and(|(with, without)| *with >= HOLED && *with >= 4 * without)
    };
    let mut seen = BTreeSet::new();
    let wanted = bare.into_iter().filter(|(land, _)| seen.insert(land.at));
    wanted.filter_map(|(land, opposite)| feature(board, lands, land, opposite, usual(land))).collect()
}

/// Round lands of the top with the like of them at the same place on the bottom.
fn stacks(lands: &Lands, last: u32) -> impl Iterator<Item = (&Land, &Land)> {
    lands.all().iter().filter(|l| l.layer == 1 && l.round).filter_map(move |land| {
        let alike = |l: &&Land| l.layer == last && l.round && close(l.least(), land.least());
        Some((land, lands.at(land.at).find(alike)?))
    })
}

const fn close(a: Nm, b: Nm) -> bool {
    (a - b).abs() * 10 <= a
}

fn feature(board: &Board, lands: &Lands, land: &Land, opposite: &Land, usual: bool) -> Option<Feature> {
    let functions = [land, opposite].map(|l| lands.function(board, l));
    let reason = match functions {
        [Some("ViaPad"), Some("ViaPad")] => "both lands carry the attribute ViaPad, which speaks of a hole",
        [Some("ComponentPad"), Some("ComponentPad")] => {
            "both lands carry the attribute ComponentPad, which speaks of a hole"
        }
        // Anything else that is named is a land that takes no hole.
        [Some(_), _] | [_, Some(_)] => return None,
        _ if usual => "nearly every other pair of lands set down with this aperture has a hole",
        _ => return None,
    };
    let mut feature = Feature::new(FeatureKind::LandStack, None, land.at)
        .because("equal round lands lie in line on both outer layers, and no hole lies in them")
        .because(reason);
    feature.size = Some(land.least());
    feature.sources = vec![land.source, opposite.source];
    Some(feature)
}
