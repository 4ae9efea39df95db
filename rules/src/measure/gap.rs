//! Gap: the shortest way between two pieces of copper of different nets on one layer.
//!
//! Method: for every straight piece of every boundary, the nearest boundary of another net within
//! the horizon; then one place per pair of nets and neighbourhood.

use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::nearby::Near;

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
    let candidate = |(own, other, span): Near| {
        let (ours, theirs) = (group(index.edges()[own].island), group(index.edges()[other].island));
        let (pair, span) = if ours < theirs { ((ours, theirs), span) } else { ((theirs, ours), span.flipped()) };
        Candidate { value: span.length, span, pair }
    };
    index.nearest_foreign(HORIZON, group).into_iter().map(candidate).collect()
}
