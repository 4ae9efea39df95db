//! Copper against score lines.

use landgap_parser::Nm;

use super::spread::{Candidate, spread};
use super::{Bench, Found, uncertainty};
use crate::board::{Feature, FeatureKind};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, segment_segment};

/// Distances to a score line up to this are kept as facts.
const HORIZON: Nm = FactKind::CopperToScore.own_horizon().unwrap();
/// A set has no more score lines than this; beyond, none is measured.
const MOST_LINES: usize = 2_000;

/// Copper of one layer to the middle of every score line.
pub(super) fn copper(bench: &Bench<'_>, layer: usize) -> Result<Found, String> {
    let lines: Vec<_> = bench.board.features.iter().filter(|f| f.kind == FeatureKind::ScoreLine).collect();
    if lines.len() > MOST_LINES {
        return Err(format!("the data hold {} score lines; more than {MOST_LINES} are not measured", lines.len()));
    }
    let (image, index) = (&bench.geometry.copper[layer], &bench.copper[layer]);
    let provenance = &bench.copper_lines[layer];
    let mut candidates = Vec::new();
    for (number, line) in (0u32..).zip(&lines) {
        for Segment { a, b } in pieces(line) {
            index.near(Bounds::of(&[a, b]).grown(HORIZON), |i| {
                let edge = index.edges()[i];
                let span = segment_segment(edge.segment, Segment { a, b });
                if span.length <= HORIZON as f64 {
                    candidates.push(Candidate { value: span.length, span, pair: (edge.island, number) });
                }
            });
        }
    }
    let fact = |c: Candidate| {
        let line = lines[c.pair.1 as usize];
        let u = uncertainty::boundary(image.step) + uncertainty::point(bench.board.outline.step) + line.uncertainty;
        let base = c.fact(FactKind::CopperToScore, image.layer, u);
        let sources = provenance.at(base.from).into_iter().chain(line.sources.first().copied()).collect();
        Fact { nets: vec![image.islands[c.pair.0 as usize].net], sources, ..base }
    };
    Ok(Found { facts: spread(candidates).into_iter().map(fact).collect(), looked_at: lines.len() as u64 })
}

/// The pieces of a score line that lie in material.
fn pieces(line: &Feature) -> Vec<Segment> {
    if line.parts.is_empty() {
        return line.between.iter().map(|(a, b)| Segment { a: *a, b: *b }).collect();
    }
    line.parts.iter().map(|p| Segment { a: p.from, b: p.to }).collect()
}
