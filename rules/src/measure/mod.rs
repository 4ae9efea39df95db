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
    let per_layer = in_parallel(&layers, |&i| [gap::copper(bench, i), width::copper(bench, i), edge::copper(bench, i)]);
    let mut facts = Facts { net_names, horizon: HORIZON, ..Facts::default() };
    area::fill(bench, &mut facts);
    let mut by_kind: Vec<(FactKind, Found)> = Vec::new();
    let mut given_up: Vec<(FactKind, String)> = Vec::new();
    for [gaps, widths, edges] in per_layer {
        by_kind.extend([(FactKind::Gap, gaps), (FactKind::Width, widths), (FactKind::CopperToEdge, edges)]);
    }
    by_kind.extend([
        (FactKind::RingDrawn, holes::rings(bench)),
        (FactKind::HoleToCopper, holes::to_copper(bench)),
        (FactKind::HoleToHole, holes::to_holes(bench)),
        (FactKind::HoleToEdge, edge::holes(bench)),
        (FactKind::Web, mask::webs(bench)),
        (FactKind::MaskClearance, mask::clearances(bench)),
        (FactKind::InnerCorner, corner::all(bench)),
        (FactKind::Joint, joint::grazed(bench)),
    ]);
    by_kind.extend(in_parallel(&layers, |&i| joint::hairs(bench, i)).into_iter().map(|f| (FactKind::Neck, f)));
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

/// Maps a slice on as many threads as the machine has, keeping the order.
pub(crate) fn in_parallel<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).min(items.len());
    if threads < 2 {
        return items.iter().map(work).collect();
    }
    let next = std::sync::atomic::AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        loop {
            let i = next.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
            match items.get(i) {
                Some(item) => done.push((i, work(item))),
                None => return done,
            }
        }
    };
    let mut all: Vec<(usize, R)> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..threads).map(|_| scope.spawn(take)).collect();
        handles.into_iter().flat_map(|h| h.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))).collect()
    });
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, r)| r).collect()
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
