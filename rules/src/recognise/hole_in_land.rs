//! Vias in a land that is soldered from the surface: solder runs into them.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Nm, Point};

use super::face::{Face, faces};
use super::lands::{Land, Places, SAME_PLACE};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, HoleKind, LayerRef};

/// Functions of lands that are soldered from the surface (Gerber format 2021.02, section 5.6.10).
const SURFACE: [&str; 3] = ["SMDPad", "BGAPad", "HeatsinkPad"];
/// From so many vias on, a large land is there to carry heat or current.
const FIELD: usize = 4;
/// Smaller extent of such a land, at least.
const FIELD_LAND: Nm = 1_200_000;
/// A land as wide as this takes so much solder that a via more or less does not matter.
const TAB: Nm = 2_500_000;

/// Wider flashes are areas of copper, not lands.
const WIDEST: Nm = 20_000_000;

/// One feature a land. The size is its smaller extent; settled where the land carries heat or current.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let vias = (0u32..).zip(&board.holes).filter(|(_, h)| h.kind == HoleKind::Via).map(|(i, h)| (h.at(), i));
    let vias = Places::new(vias.collect());
    if vias.is_empty() {
        return Vec::new();
    }
    let on = |face: &Face<'_>| {
        largest(face.lands(lands).filter_map(|l| held(board, lands, &vias, face, l)).collect::<Vec<_>>())
    };
    faces(board, ground).iter().flat_map(on).collect()
}

/// Of lands that hold one via, such as its own and the part's, only the largest counts.
fn largest(mut found: Vec<Feature>) -> Vec<Feature> {
    let mut of_hole: BTreeMap<u32, (Nm, usize)> = BTreeMap::new();
    for (i, feature) in found.iter().enumerate() {
        let size = feature.size.unwrap_or(0);
        for hole in &feature.holes {
            let best = of_hole.entry(*hole).or_insert((size, i));
            if size > best.0 {
                *best = (size, i);
            }
        }
    }
    let kept: BTreeSet<usize> = of_hole.into_values().map(|(_, i)| i).collect();
    let mut number = 0..;
    found.retain(|_| number.next().is_some_and(|i| kept.contains(&i)));
    found
}

fn held(board: &Board, lands: &Lands, vias: &Places, face: &Face<'_>, land: &Land) -> Option<Feature> {
    let number = face.copper.number;
    let reach = land.size.0.max(land.size.1);
    if reach > WIDEST {
        return None;
    }
    let passes = |i: &u32| {
        let span = board.holes[*i as usize].span;
        span.0 <= number && number <= span.1
    };
    let mut holes: Vec<u32> =
        vias.within(land.at, reach).filter(passes).filter(|i| inside(board.holes[*i as usize].at(), land)).collect();
    if holes.is_empty() || face.mask.island_at(land.at).is_none() {
        return None;
    }
    holes.sort_unstable();
    let why = soldered(board, lands, face, land, &holes)?;
    let heat = holes.len() >= FIELD && land.least() >= FIELD_LAND || land.least() >= TAB;
    let mut feature = Feature::new(FeatureKind::HoleInLand, Some(LayerRef::Copper(number)), land.at).because(why);
    if heat {
        feature = feature.because("it is large, as lands are that carry heat or current");
    }
    feature.size = Some(land.least());
    feature.settled = heat;
    feature.holes = holes;
    feature.sources = vec![land.source];
    Some(feature)
}

/// Whether a point lies in a land: in its ellipse where it is round, else in its box.
fn inside(p: Point, land: &Land) -> bool {
    let (dx, dy) = ((p.x - land.at.x).abs() as f64 * 2.0, (p.y - land.at.y).abs() as f64 * 2.0);
    let (w, h) = (land.size.0 as f64, land.size.1 as f64);
    if land.round { dx.hypot(dy) < w.min(h) } else { dx < w && dy < h }
}

/// Why a land is taken to be soldered from the surface. A via's own land is not, unless paste or its name says so.
fn soldered(board: &Board, lands: &Lands, face: &Face<'_>, land: &Land, holes: &[u32]) -> Option<&'static str> {
    let own = holes.iter().any(|i| board.holes[*i as usize].at().distance(land.at) <= SAME_PLACE as f64);
    let name = lands.function(board, land);
    if face.pasted(land) {
        return name.is_none_or(|n| n != "ViaPad").then_some("paste is printed on the land");
    }
    match name {
        Some(name) => SURFACE.contains(&name).then_some("the attribute of the land says that it is soldered"),
        // Without paste data only the shape tells: a land beside the via that is not round.
        None => (face.paste.is_none() && !own && !land.round)
            .then_some("the land is opened, not round, and not the via's own; the set has no paste to tell by"),
    }
}
