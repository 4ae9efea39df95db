//! From thousands of near pairs to the places a person would name.
//!
//! Candidates are taken least first, among equals those that run alongside; one is kept unless a lesser one of the same pair lies within
//! [`APART`] of it. The choice depends only on distances between places, so it is the same however
//! the board is shifted.

use std::collections::BTreeMap;

use landgap_parser::Nm;

use crate::board::LayerRef;
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::{Span, whole};

/// Two places of one pair lie at least this far apart.
pub(super) const APART: Nm = 2_000_000;

/// A distance between two things.
#[derive(Clone, Copy, Debug)]
pub(super) struct Candidate {
    /// Signed distance in nanometres.
    pub value: f64,
    /// Witness points.
    pub span: Span,
    /// The two things, lower number first.
    pub pair: (u32, u32),
}

impl Candidate {
    /// The fact it becomes, with no nets, holes or sources yet.
    pub fn fact(&self, kind: FactKind, layer: LayerRef, uncertainty: Nm) -> Fact {
        let (from, to) = self.span.points();
        Fact {
            kind,
            layer: Some(layer),
            value: whole(self.value),
            uncertainty,
            from,
            to,
            nets: Vec::new(),
            holes: Vec::new(),
            sources: Vec::new(),
            length: self.span.run_length(),
            run: self.span.run,
            same_net: false,
        }
    }
}

/// Places of one pair kept so far, by cell.
type Kept = BTreeMap<(Nm, Nm), Vec<(f64, f64)>>;

/// Keeps the least candidate of every neighbourhood; pair by pair, each least first.
pub(super) fn spread(mut candidates: Vec<Candidate>) -> Vec<Candidate> {
    candidates.sort_by_cached_key(|c| (c.pair, whole(c.value), c.span.run.is_none(), c.span.points()));
    let mut out = Vec::new();
    for of_pair in candidates.chunk_by(|a, b| a.pair == b.pair) {
        let mut kept = Kept::new();
        out.extend(of_pair.iter().filter(|c| keep(&mut kept, c)).copied());
    }
    out
}

fn keep(kept: &mut Kept, c: &Candidate) -> bool {
    let at = c.span.middle();
    let cell = |v: f64| (v as Nm).div_euclid(APART);
    let (cx, cy) = (cell(at.0), cell(at.1));
    let near = |place: &(f64, f64)| {
        let (dx, dy) = (place.0 - at.0, place.1 - at.1);
        dx * dx + dy * dy < (APART as f64) * (APART as f64)
    };
    for x in cx - 1..=cx + 1 {
        if kept.range((x, cy - 1)..=(x, cy + 1)).any(|(_, places)| places.iter().any(near)) {
            return false;
        }
    }
    kept.entry((cx, cy)).or_default().push(at);
    true
}
