//! Measures a placed board: final images, nets, and every distance below the horizon.
//!
//! One file measures one kind of fact. Each takes the board, its geometry and the shared indices
//! and gives facts with uncertainty and witness points; no shop's limit is known here.

mod area;
mod bared;
mod corner;
pub mod coverage;
mod cuts;
mod edge;
mod fiducial;
mod floating;
mod gap;
mod hole_mask;
mod holes;
mod images;
mod joint;
mod legend;
mod mask;
mod mask_sliver;
pub(crate) mod nets;
mod openings;
mod plane_web;
mod polarity;
mod provenance;
mod relief;
mod score;
mod sliver;
mod slot;
mod spread;
pub mod touch;
mod uncertainty;
mod via_cover;
mod width;

use landgap_parser::Nm;

use crate::board::{Board, LayerRef};
use crate::check::{Measured, Stage};
use crate::fact::{Fact, FactKind, Facts};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::outline::Edge;
use crate::geometry::{Bounds, Geometry};
pub(crate) use crate::threads::in_parallel;
use crate::{netlist, recognise};
use provenance::Provenance;

/// Distances up to this are kept as facts.
pub const HORIZON: Nm = 500_000;

/// Everything the measuring files share.
pub(crate) struct Bench<'a> {
    pub board: &'a Board,
    pub geometry: &'a Geometry,
    /// Boundaries of the copper layers, by position in `geometry.copper`.
    pub copper: &'a [EdgeIndex],
    /// Boundaries of the mask openings, by position in `geometry.masks`.
    pub masks: &'a [EdgeIndex],
    /// The board's edge, if known.
    pub edge: Option<&'a Edge>,
    pub touches: &'a touch::Touches,
    /// What drew each copper layer, by position in `geometry.copper`.
    pub copper_lines: &'a [Provenance],
    /// What drew each mask, by position in `geometry.masks`.
    pub mask_lines: &'a [Provenance],
}

impl<'a> Bench<'a> {
    /// What recognisers look at.
    pub(crate) const fn ground(&self) -> recognise::Ground<'a> {
        recognise::Ground {
            geometry: self.geometry,
            copper: self.copper,
            masks: self.masks,
            edge: self.edge,
            touches: self.touches,
        }
    }
}

/// What one kind of measuring came to.
#[derive(Default)]
pub(crate) struct Found {
    pub facts: Vec<Fact>,
    pub looked_at: u64,
}

/// Builds the final images, finds the nets, and measures.
#[must_use]
pub fn measure(mut board: Board, progress: &dyn Fn(Stage)) -> Measured {
    let mut geometry = images::build(&board, progress);
    progress(Stage::Measure);
    polarity::settle(&mut board, &mut geometry);
    let copper = in_parallel(&geometry.copper, |layer| EdgeIndex::new(&layer.islands));
    let masks = in_parallel(&geometry.masks, |layer| EdgeIndex::new(&layer.islands));
    let edge = Edge::new(&geometry.outline);
    let touches = touch::find(&board, &geometry, &copper);
    let ground = recognise::Ground {
        geometry: &geometry,
        copper: &copper,
        masks: &masks,
        edge: edge.as_ref(),
        touches: &touches,
    };
    recognise::holes(&mut board, &ground);
    let net_names = nets::join(&board, &mut geometry, &copper, &touches);
    let electrical = netlist::compare(&netlist::Ground {
        board: &board,
        geometry: &geometry,
        copper: &copper,
        touches: &touches,
        masks: &masks,
    });
    for (file, remarks) in electrical.comparisons.iter().filter_map(|c| c.remarks.clone()) {
        board.files[file as usize].remarks.extend(remarks);
    }
    let ground = recognise::Ground {
        geometry: &geometry,
        copper: &copper,
        masks: &masks,
        edge: edge.as_ref(),
        touches: &touches,
    };
    recognise::features(&mut board, &ground);
    let lines = |files: Vec<u32>| in_parallel(&files, |file| Provenance::of(&board, *file));
    let copper_lines = lines(board.copper.iter().map(|l| l.file).collect());
    let mask_lines = lines(geometry.masks.iter().map(|m| mask_file(&board, m.layer)).collect());
    let bench = Bench {
        copper_lines: &copper_lines,
        mask_lines: &mask_lines,
        board: &board,
        geometry: &geometry,
        copper: &copper,
        masks: &masks,
        edge: edge.as_ref(),
        touches: &touches,
    };
    let facts = Facts { electrical, ..collect(&bench, net_names) };
    Measured { board, geometry, facts }
}

fn mask_file(board: &Board, layer: LayerRef) -> u32 {
    board.masks.iter().find(|m| LayerRef::Mask(m.side) == layer).map_or(u32::MAX, |m| m.file)
}

fn collect(bench: &Bench<'_>, net_names: Vec<String>) -> Facts {
    let layers: Vec<usize> = (0..bench.geometry.copper.len()).collect();
    let openings = openings::Openings::of(bench);
    let mut by_kind = all_kinds(bench, &openings);
    let mut given_up: Vec<(FactKind, String)> = Vec::new();
    let mut facts = Facts { net_names, horizon: HORIZON, ..Facts::default() };
    area::fill(bench, &mut facts);
    match cuts::all(bench) {
        Ok(found) => by_kind.extend(cuts::KINDS.into_iter().zip(found)),
        Err(why) => given_up.extend(cuts::KINDS.map(|k| (k, why.clone()))),
    }
    for found in in_parallel(&layers, |&i| score::copper(bench, i)) {
        match found {
            Ok(found) => by_kind.push((FactKind::CopperToScore, found)),
            Err(why) => given_up.push((FactKind::CopperToScore, why)),
        }
    }
    by_kind.extend(legend::all(bench));
    facts.covers = via_cover::covers(bench, &openings);
    for kind in FactKind::ALL {
        let looked_at = by_kind.iter().filter(|(k, _)| *k == kind).map(|(_, f)| f.looked_at).sum();
        facts.looked_at.push((kind, looked_at));
    }
    facts.facts = by_kind.into_iter().flat_map(|(_, found)| found.facts).collect();
    facts.facts.sort_by_key(order);
    given_up.dedup();
    facts.not_measured = not_measured(bench);
    facts.not_measured.extend(given_up);
    (facts.floating, facts.floating_not_looked) = floating::of(bench);
    facts.landed = bench.touches.landed(bench.board.holes.len());
    facts
}

/// What each kind of measuring comes to; all of it shared out among the threads, layer by layer where it can be.
fn all_kinds(bench: &Bench<'_>, openings: &openings::Openings) -> Vec<(FactKind, Found)> {
    type Work<'a> = Box<dyn Fn() -> Vec<(FactKind, Found)> + Sync + 'a>;
    fn one<'a>(kind: FactKind, measure: impl Fn() -> Found + Sync + 'a) -> Work<'a> {
        Box::new(move || vec![(kind, measure())])
    }
    let mut work: Vec<Work<'_>> = Vec::new();
    for layer in 0..bench.geometry.copper.len() {
        work.push(Box::new(move || thin_copper(bench, layer)));
        work.push(one(FactKind::Gap, move || gap::copper(bench, layer)));
        work.push(one(FactKind::CopperToEdge, move || edge::copper(bench, layer)));
        work.push(one(FactKind::Slot, move || slot::copper(bench, layer)));
        work.push(one(FactKind::Neck, move || joint::hairs(bench, layer)));
    }
    work.extend([
        one(FactKind::RingDrawn, || holes::rings(bench)),
        one(FactKind::HoleToCopper, || holes::to_copper(bench)),
        one(FactKind::HoleToHole, || holes::to_holes(bench)),
        one(FactKind::HoleToEdge, || edge::holes(bench)),
        one(FactKind::Web, || mask::webs(bench, openings)),
        one(FactKind::MaskClearance, || mask::clearances(bench)),
        one(FactKind::OpeningToCopper, || bared::copper(bench, openings)),
        one(FactKind::OpeningToVia, || via_cover::to_vias(bench, openings)),
        one(FactKind::HoleToMask, || hole_mask::round_holes(bench, openings)),
        one(FactKind::MaskSliver, || mask_sliver::inside_openings(bench)),
        one(FactKind::InnerCorner, || corner::all(bench)),
        one(FactKind::Joint, || joint::grazed(bench)),
        one(FactKind::FiducialRing, || fiducial::clear_rings(bench)),
        one(FactKind::Spoke, || relief::spokes(bench)),
    ]);
    in_parallel(&work, |measure| measure()).into_iter().flatten().collect()
}

/// Thin copper of one layer, told apart: widths, tongues and webs of planes.
fn thin_copper(bench: &Bench<'_>, layer: usize) -> Vec<(FactKind, Found)> {
    let tongues = sliver::Tongues::of(&bench.geometry.copper[layer]);
    let (widths, webs) = width::copper(bench, layer, &tongues);
    let slivers = sliver::copper(bench, layer, &tongues);
    vec![(FactKind::Width, widths), (FactKind::Sliver, slivers), (FactKind::PlaneWeb, webs)]
}

fn order(fact: &Fact) -> impl Ord + use<> {
    (fact.kind, fact.layer, fact.value, fact.from, fact.to)
}

fn not_measured(bench: &Bench<'_>) -> Vec<(FactKind, String)> {
    let mut out = Vec::new();
    let mut missing = |kinds: &[FactKind], reason: &str| out.extend(kinds.iter().map(|k| (*k, reason.to_string())));
    if bench.geometry.copper.is_empty() {
        let kinds = [
            FactKind::Gap,
            FactKind::Width,
            FactKind::CopperToScore,
            FactKind::Joint,
            FactKind::Neck,
            FactKind::Slot,
            FactKind::Sliver,
            FactKind::PlaneWeb,
            FactKind::FiducialRing,
            FactKind::Spoke,
        ];
        missing(&kinds, "no copper layer in the data");
    }
    if bench.edge.is_none() {
        missing(
            &[
                FactKind::CopperToEdge,
                FactKind::HoleToEdge,
                FactKind::InnerCorner,
                FactKind::Bridge,
                FactKind::Tab,
                FactKind::CutOut,
            ],
            "no closed outline in the data",
        );
    }
    if bench.geometry.masks.is_empty() {
        let kinds = [
            FactKind::Web,
            FactKind::MaskClearance,
            FactKind::OpeningToCopper,
            FactKind::OpeningToVia,
            FactKind::HoleToMask,
            FactKind::MaskSliver,
            FactKind::LegendToOpening,
        ];
        missing(&kinds, "no solder mask in the data");
    }
    if bench.board.legends.is_empty() {
        let kinds = [FactKind::LegendToOpening, FactKind::LegendStroke, FactKind::LegendHeight];
        missing(&kinds, "no legend in the data");
    }
    if bench.board.holes.is_empty() {
        let kinds = [FactKind::RingDrawn, FactKind::HoleToCopper, FactKind::HoleToHole];
        missing(&kinds, "no holes in the data");
        missing(&[FactKind::OpeningToVia, FactKind::HoleToMask], "no holes in the data");
    }
    out
}

/// The box round everything a layer shows.
pub(crate) fn bounds_of(layer: &crate::geometry::LayerImage) -> Bounds {
    let mut bounds = Bounds::EMPTY;
    for island in &layer.islands {
        bounds.add(island.bounds.min);
        bounds.add(island.bounds.max);
    }
    bounds
}
