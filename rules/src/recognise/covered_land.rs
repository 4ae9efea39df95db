//! Lands to be soldered, touched or pressed in that no opening of the mask touches, although lands like them are opened.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::Nm;

use super::face::{Face, faces, hole_at};
use super::lands::{Land, Places, SAME_PLACE};
use super::{Ground, Lands, net_tie};
use crate::board::{Board, Feature, FeatureKind, HoleKind, HolePlating, LayerRef};

/// Functions of lands that are of no use under mask (Gerber format 2021.02, section 5.6.10).
const OPEN: [&str; 7] =
    ["SMDPad", "BGAPad", "ConnectorPad", "HeatsinkPad", "TestPad", "CastellatedPad", "ComponentPad"];
/// A land without a name counts where so many of its aperture are opened for each that is covered.
const OPENED_FOR_ONE: usize = 4;

/// Holes from this size on may take a screw.
const SCREW: Nm = 2_000_000;
/// How far the middle of a land that carries heat lies from a hole in it, at most.
const HEAT_REACH: Nm = 5_000_000;

/// What a land is for, as far as it matters here.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Use {
    /// Named by the data.
    Named,
    /// Round the hole of a lead.
    Lead(u32),
    /// No name and no hole.
    Plain,
}

/// One feature a land. The size is its smaller extent; `holes` holds the hole of a lead.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let holes = Places::of_holes(board);
    faces(board, ground).iter().flat_map(|face| on(board, ground, lands, &holes, face)).collect()
}

fn on(board: &Board, ground: &Ground<'_>, lands: &Lands, holes: &Places, face: &Face<'_>) -> Vec<Feature> {
    let Some(image) = face.image(board) else { return Vec::new() };
    let mut covered: Vec<(&Land, Use)> = Vec::new();
    let mut opened: BTreeMap<u32, usize> = BTreeMap::new();
    let mut alike: BTreeMap<u32, usize> = BTreeMap::new();
    for land in face.lands(lands) {
        let Some(used) = use_of(board, lands, holes, land) else { continue };
        if !face.covers_land(image, land) {
            *opened.entry(land.aperture).or_default() += 1;
        } else if !face.pasted(land) {
            *alike.entry(land.aperture).or_default() += 1;
            covered.push((land, used));
        }
    }
    let none_opened = opened.is_empty();
    let missed = |(land, used): &(&Land, Use)| {
        let open = opened.get(&land.aperture).copied().unwrap_or(0);
        *used != Use::Plain || open >= OPENED_FOR_ONE * alike.get(&land.aperture).copied().unwrap_or(0)
    };
    covered.retain(missed);
    if covered.is_empty() {
        return Vec::new();
    }
    let likes = Likes::of(board);
    covered.retain(|(land, used)| match used {
        Use::Lead(hole) => !likes.are_vias(board, *hole) && !is_screw(board, ground, *hole) && !in_larger(lands, land),
        Use::Named | Use::Plain => true,
    });
    let tied = ties(board, ground, lands);
    covered.retain(|(land, _)| lands.component(board, land).is_none_or(|part| !tied.contains(part)));
    covered
        .into_iter()
        .map(|(land, used)| feature(face, land, used, none_opened, opened.get(&land.aperture).copied().unwrap_or(0)))
        .collect()
}

/// How many plated holes of each size are vias, and how many are not.
struct Likes {
    sizes: BTreeMap<Nm, (usize, usize)>,
}

impl Likes {
    fn of(board: &Board) -> Self {
        let mut sizes: BTreeMap<Nm, (usize, usize)> = BTreeMap::new();
        for hole in board.holes.iter().filter(|h| h.plating == HolePlating::Plated) {
            let (vias, others) = sizes.entry(hole.finished.unwrap_or(0)).or_default();
            *(if hole.kind == HoleKind::Via { vias } else { others }) += 1;
        }
        Self { sizes }
    }

    /// Whether a hole that nothing names is of a size whose holes are mostly vias.
    fn are_vias(&self, board: &Board, hole: u32) -> bool {
        let hole = &board.holes[hole as usize];
        let (vias, others) = self.sizes.get(&hole.finished.unwrap_or(0)).copied().unwrap_or_default();
        hole.function.is_none() && vias > others
    }
}

/// A large hole that mask covers on both sides takes a screw, not a lead.
fn is_screw(board: &Board, ground: &Ground<'_>, hole: u32) -> bool {
    let hole = &board.holes[hole as usize];
    let closed = ground.masks.iter().all(|mask| mask.island_at(hole.at()).is_none());
    hole.finished.is_some_and(|size| size >= SCREW) && closed
}

/// Whether a land stands in a much larger one: a hole there carries heat away from a part.
fn in_larger(lands: &Lands, land: &Land) -> bool {
    lands.within(land.at, HEAT_REACH).any(|other| {
        let inside =
            (other.at.x - land.at.x).abs() * 2 < other.size.0 && (other.at.y - land.at.y).abs() * 2 < other.size.1;
        inside && other.least() >= 2 * land.least()
    })
}

/// Parts that join two nets on purpose; mask belongs on their lands.
fn ties<'b>(board: &'b Board, ground: &Ground<'_>, lands: &Lands) -> BTreeSet<&'b str> {
    let lines: BTreeSet<_> = net_tie::of(board, ground, lands).into_iter().flat_map(|f| f.sources).collect();
    lands.all().iter().filter(|l| lines.contains(&l.source)).filter_map(|l| lands.component(board, l)).collect()
}

/// What a land is for; `None` where mask may lie on it, or where another rule looks after it.
fn use_of(board: &Board, lands: &Lands, holes: &Places, land: &Land) -> Option<Use> {
    if lands.is_unconnected(board, land) {
        return None;
    }
    let hole = hole_at(holes, land, SAME_PLACE.max(land.least() / 4)).map(|i| (i, &board.holes[i as usize]));
    if let Some((number, hole)) = hole {
        let lead = matches!(hole.kind, HoleKind::Component | HoleKind::PressFit)
            || hole.kind == HoleKind::Slot && hole.plating == HolePlating::Plated;
        return (lead && hole.plating == HolePlating::Plated).then_some(Use::Lead(number));
    }
    match lands.function(board, land) {
        Some(name) => OPEN.contains(&name).then_some(Use::Named),
        None => Some(Use::Plain),
    }
}

fn feature(face: &Face<'_>, land: &Land, used: Use, none_opened: bool, opened: usize) -> Feature {
    let mut feature = Feature::new(FeatureKind::CoveredLand, Some(LayerRef::Mask(face.side)), land.at);
    feature.size = Some(land.least());
    feature.sources = vec![land.source];
    if let Use::Lead(hole) = used {
        feature.holes = vec![hole];
    }
    let side = face.side.word();
    feature = feature.because(match used {
        Use::Named => "its attribute says that it is soldered, touched or pressed in".to_owned(),
        Use::Lead(_) => "a plated hole for a lead stands in it".to_owned(),
        Use::Plain => format!("{opened} lands of the same aperture are opened on the {side}"),
    });
    if none_opened { feature.because(format!("no land of the {side} is opened at all")) } else { feature }
}
