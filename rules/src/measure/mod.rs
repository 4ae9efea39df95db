//! Measures a placed board: final images, nets, and every distance below the horizon.
//!
//! One file measures one kind of fact. Each takes the board, its geometry and the shared indices
//! and gives facts with uncertainty and witness points; no shop's limit is known here.

mod area;
mod corner;
mod cuts;
mod edge;
mod gap;
mod holes;
mod images;
mod joint;
mod mask;
pub(crate) mod nets;
mod polarity;
mod provenance;
mod score;
mod spread;
pub mod touch;
mod uncertainty;
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
    let mut by_kind = all_kinds(bench);
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
    for kind in FactKind::ALL {
        let looked_at = by_kind.iter().filter(|(k, _)| *k == kind).map(|(_, f)| f.looked_at).sum();
        facts.looked_at.push((kind, looked_at));
    }
    facts.facts = by_kind.into_iter().flat_map(|(_, found)| found.facts).collect();
    facts.facts.sort_by_key(order);
    given_up.dedup();
    facts.not_measured = not_measured(bench);
    facts.not_measured.extend(given_up);
    facts.landed = bench.touches.landed(bench.board.holes.len());
    facts
}

/// What each kind of measuring comes to; all of it shared out among the threads, layer by layer where it can be.
fn all_kinds(bench: &Bench<'_>) -> Vec<(FactKind, Found)> {
    type Work<'a> = (FactKind, Box<dyn Fn() -> Found + Sync + 'a>);
    let mut work: Vec<Work<'_>> = Vec::new();
    for layer in 0..bench.geometry.copper.len() {
        work.push((FactKind::Gap, Box::new(move || gap::copper(bench, layer))));
        work.push((FactKind::Width, Box::new(move || width::copper(bench, layer))));
        work.push((FactKind::CopperToEdge, Box::new(move || edge::copper(bench, layer))));
        work.push((FactKind::Neck, Box::new(move || joint::hairs(bench, layer))));
    }
    work.push((FactKind::RingDrawn, Box::new(|| holes::rings(bench))));
    work.push((FactKind::HoleToCopper, Box::new(|| holes::to_copper(bench))));
    work.push((FactKind::HoleToHole, Box::new(|| holes::to_holes(bench))));
    work.push((FactKind::HoleToEdge, Box::new(|| edge::holes(bench))));
    work.push((FactKind::Web, Box::new(|| mask::webs(bench))));
    work.push((FactKind::MaskClearance, Box::new(|| mask::clearances(bench))));
    work.push((FactKind::InnerCorner, Box::new(|| corner::all(bench))));
    work.push((FactKind::Joint, Box::new(|| joint::grazed(bench))));
    in_parallel(&work, |(kind, measure)| (*kind, measure()))
}

fn order(fact: &Fact) -> impl Ord + use<> {
    (fact.kind, fact.layer, fact.value, fact.from, fact.to)
}

fn not_measured(bench: &Bench<'_>) -> Vec<(FactKind, String)> {
    let mut out = Vec::new();
    let mut missing = |kinds: &[FactKind], reason: &str| out.extend(kinds.iter().map(|k| (*k, reason.to_string())));
    if bench.geometry.copper.is_empty() {
        missing(
            &[FactKind::Gap, FactKind::Width, FactKind::CopperToScore, FactKind::Joint, FactKind::Neck],
            "no copper layer in the data",
        );
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
        missing(&[FactKind::Web, FactKind::MaskClearance], "no solder mask in the data");
    }
    if bench.board.holes.is_empty() {
        missing(&[FactKind::RingDrawn, FactKind::HoleToCopper, FactKind::HoleToHole], "no holes in the data");
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
