//! Gap: the shortest way between two pieces of copper of different nets on one layer.
//!
//! Method: for every straight piece of every boundary, the nearest boundary of another net within
//! the horizon; then one place per pair of nets and neighbourhood.

use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::edges::EdgeIndex;

/// Gaps on one copper layer, by position.
pub(super) fn copper(bench: &Bench<'_>, layer: usize) -> Found {
    let image = &bench.geometry.copper[layer];
    let index = &bench.copper[layer];
    let nets: Vec<u32> = image.islands.iter().map(|i| i.net).collect();
    let candidates = between(index, &nets);
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::Gap, image.layer, u);
        Fact { nets: vec![c.pair.0, c.pair.1], sources: provenance.both(base.from, base.to), ..base }
    };
    let facts = spread(candidates).into_iter().map(fact).collect();
    Found { facts, looked_at: index.edges().len() as u64 }
}

/// Nearest boundary of another group for every piece of boundary, within the horizon.
pub(super) fn between(index: &EdgeIndex, groups: &[u32]) -> Vec<Candidate> {
    let group = |island: u32| groups[island as usize];
    let mut out = Vec::new();
    for edge in index.edges() {
        let own = group(edge.island);
        let path = [edge.segment.a, edge.segment.b];
        let Some((other, span)) = index.nearest(&path, HORIZON, |_, e| group(e.island) != own) else { continue };
        let theirs = group(index.edges()[other].island);
        let (pair, span) = if own < theirs { ((own, theirs), span) } else { ((theirs, own), span.flipped()) };
        out.push(Candidate { value: span.length, span, pair });
    }
    out
}
