//! From thousands of near pairs to the places a person would name.
//!
//! Candidates are taken least first, among equals those that run alongside; one is kept unless a lesser one of the same pair lies within
//! [`APART`] of it. The choice depends only on distances between places, so it is the same however
//! the board is shifted.

use std::collections::BTreeMap;

use landgap_parser::Nm;

use crate::board::LayerRef;
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::Span;

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
            value: self.value.round() as Nm,
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

/// Places kept so far, by pair and cell.
type Kept = BTreeMap<((u32, u32), Nm, Nm), Vec<(f64, f64)>>;

/// Keeps the least candidate of every neighbourhood.
pub(super) fn spread(mut candidates: Vec<Candidate>) -> Vec<Candidate> {
    candidates.sort_by_key(|c| (c.value.round() as i64, c.span.run.is_none(), c.pair, key(c)));
    let mut kept = Kept::new();
    candidates.into_iter().filter(|c| keep(&mut kept, c)).collect()
}

fn key(c: &Candidate) -> (i64, i64, i64, i64) {
    let (from, to) = c.span.points();
    (from.x, from.y, to.x, to.y)
}

fn keep(kept: &mut Kept, c: &Candidate) -> bool {
    let at = c.span.middle();
    let cell = |v: f64| (v as Nm).div_euclid(APART);
    let (cx, cy) = (cell(at.0), cell(at.1));
    for x in cx - 1..=cx + 1 {
        for y in cy - 1..=cy + 1 {
            let near = kept
                .get(&(c.pair, x, y))
                .is_some_and(|places| places.iter().any(|p| (p.0 - at.0).hypot(p.1 - at.1) < APART as f64));
            if near {
                return false;
            }
        }
    }
    kept.entry((c.pair, cx, cy)).or_default().push(at);
    true
}
