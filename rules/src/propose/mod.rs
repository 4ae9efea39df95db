//! What the data would be with the remedy we suggest, where it is geometric, and the proof that the nets stay.
//!
//! Three remedies are drawn: a land grown round its hole, a copper area drawn back from a gap or from the
//! edge, and mask left out between two openings. Each place is tried by itself; where there is no room it
//! is left as it is and says why. Nets are taken from the copper before and after, and a proposal that
//! changes one is never shown.

mod back;
mod bench;
mod land;
mod proof;
mod web;

use std::collections::BTreeMap;

use crate::board::LayerRef;
use crate::capability::{Capability, Order};
use crate::check::Measured;
use crate::geometry::engine::Polygon;
use crate::query::page::Answer;
use crate::query::{Query, QueryPlace, Severity};
use bench::Bench;
pub use proof::Proof;

/// Places of one query that are tried; the rest are left as they are.
const MOST: usize = 200;

/// Corners of a board's copper beyond which nothing is proposed: the proof would take too long.
const LARGEST: usize = 3_000_000;

/// A change we propose.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The layer that is changed.
    pub layer: LayerRef,
    /// What is added to the layer.
    pub added: Vec<Polygon>,
    /// What is taken away.
    pub removed: Vec<Polygon>,
    /// Places at which there is room, by their number in the query's list, from 0.
    pub done: Vec<u32>,
    /// Places at which there is none, with the reason.
    pub left: Vec<(u32, &'static str)>,
    /// That the nets stay as they were.
    pub proof: Proof,
}

/// One place changed: what is added or taken away; or why there is no room.
type Tried = Result<(Vec<Polygon>, Vec<Polygon>), &'static str>;

/// The remedy of a rule at one place.
type Remedy = fn(&Bench<'_>, &Query, &QueryPlace) -> Tried;

fn remedy(rule: &str) -> Option<Remedy> {
    match rule {
        "thin-ring" => Some(land::grown),
        "tight-gap" => Some(back::from_gap),
        "copper-near-edge" => Some(back::from_edge),
        "thin-web" => Some(web::dropped),
        _ => None,
    }
}

/// Proposals for the queries of a board, by number.
#[must_use]
pub fn propose(
    measured: &Measured,
    capability: &Capability,
    order: &Order,
    queries: &[Query],
) -> BTreeMap<u32, Proposal> {
    let corners: usize =
        measured.geometry.copper.iter().flat_map(|l| &l.islands).flat_map(|i| &i.contours).map(Vec::len).sum();
    let mut out = BTreeMap::new();
    if corners > LARGEST {
        return out;
    }
    let mut before = None;
    for query in queries.iter().filter(|q| q.severity != Severity::Note) {
        let offers = query.options.iter().any(|o| o.answer == Answer::Change);
        let Some(remedy) = remedy(query.rule).filter(|_| offers) else { continue };
        if let Some(proposal) = one(measured, capability, order, query, remedy, &mut before) {
            out.insert(query.number, proposal);
        }
    }
    out
}

/// The proposal for the layer of the query's worst place.
fn one(
    measured: &Measured,
    capability: &Capability,
    order: &Order,
    query: &Query,
    remedy: Remedy,
    before: &mut Option<proof::Nets>,
) -> Option<Proposal> {
    let layer = query.places.first()?.layer?;
    let mut bench = Bench::new(measured, capability, order, layer)?;
    let (mut added, mut removed, mut done, mut left) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (number, place) in (0u32..).zip(query.places.iter().take(MOST)).filter(|(_, p)| p.layer == Some(layer)) {
        match remedy(&bench, query, place).and_then(|(more, less)| bench.take(&more, &less).map(|()| (more, less))) {
            Ok((more, less)) => {
                added.extend(more);
                removed.extend(less);
                done.push(number);
            }
            Err(why) => left.push((number, why)),
        }
    }
    if done.is_empty() {
        return None;
    }
    let before = before.get_or_insert_with(|| proof::Nets::of(&measured.board, &measured.geometry));
    let proof = proof::proved(measured, before, &bench)?;
    Some(Proposal { layer, added, removed, done, left, proof })
}
