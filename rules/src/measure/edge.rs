//! Copper and holes against the board's edge.

use super::holes::from_wall;
use super::spread::{Candidate, spread};
use super::touch::axis;
use super::{Bench, Found, uncertainty};
use crate::board::{HolePlating, Source};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::{Span, float, point_segment};
use crate::geometry::edges::BoundaryEdge;
use crate::geometry::outline::Edge;
use landgap_parser::Nm;

/// Distances to the edge up to this are kept as facts.
const EDGE_HORIZON: Nm = FactKind::CopperToEdge.own_horizon().unwrap();

/// Copper of one layer to the edge; negative by how far it lies over it.
pub(super) fn copper(bench: &Bench<'_>, layer: usize) -> Found {
    let Some(edge) = bench.edge else { return Found::default() };
    let image = &bench.geometry.copper[layer];
    let index = &bench.copper[layer];
    let candidates = index.edges().iter().filter_map(|e| to_edge(edge, e)).collect();
    let provenance = &bench.copper_lines[layer];
    let facts = spread(candidates).into_iter().map(|c| {
        let (from, to) = c.span.points();
        Fact {
            kind: FactKind::CopperToEdge,
            layer: Some(image.layer),
            value: c.value.round() as i64,
            uncertainty: uncertainty::boundary(image.step) + uncertainty::boundary(bench.board.outline.step),
            from,
            to,
            nets: vec![image.islands[c.pair.0 as usize].net],
            holes: Vec::new(),
            sources: provenance.at(from).into_iter().chain(outline_source(bench)).collect(),
            length: None,
            run: None,
            same_net: false,
        }
    });
    Found { facts: facts.collect(), looked_at: index.edges().len() as u64 }
}

pub(super) fn outline_source(bench: &Bench<'_>) -> Option<Source> {
    bench.board.outline.files.first().map(|file| Source { file: *file, line: 0 })
}

fn to_edge(edge: &Edge, boundary: &BoundaryEdge) -> Option<Candidate> {
    let path = [boundary.segment.a, boundary.segment.b];
    let (_, span) = edge.index.nearest(&path, EDGE_HORIZON, |_, _| true)?;
    let over = path.iter().filter(|p| !edge.holds(**p)).filter_map(|p| beyond(edge, *p)).reduce(deeper);
    let pair = (boundary.island, boundary.island);
    Some(match over {
        Some(out) if out.length >= 1.0 => Candidate { value: -out.length, span: out, pair },
        _ => Candidate { value: span.length, span, pair },
    })
}

fn deeper(a: Span, b: Span) -> Span {
    if b.length > a.length { b } else { a }
}

/// How far a point outside the board lies beyond its edge.
fn beyond(edge: &Edge, p: landgap_parser::Point) -> Option<Span> {
    let (nearest, _) = edge.index.nearest(&[p], EDGE_HORIZON, |_, _| true)?;
    Some(point_segment(float(p), edge.index.edges()[nearest].segment))
}

/// Hole walls to the edge. A non-plated hole that lies outside the material is the cut-out itself, given twice.
pub(super) fn holes(bench: &Bench<'_>) -> Found {
    let Some(edge) = bench.edge else { return Found::default() };
    let mut found = Found::default();
    for (i, hole) in bench.board.holes.iter().enumerate() {
        let Some(size) = hole.finished else { continue };
        let path = axis(hole);
        found.looked_at += 1;
        let inside = edge.holds(path[0]);
        if !inside && hole.plating != HolePlating::Plated {
            continue;
        }
        let Some((_, span)) = edge.index.nearest(&path, EDGE_HORIZON + size / 2, |_, _| true) else { continue };
        let signed = if inside { span.length } else { -span.length };
        let radius = size as f64 / 2.0;
        let (from, to) = (from_wall(&span, size, signed), span.points().1);
        found.facts.push(Fact {
            kind: FactKind::HoleToEdge,
            layer: None,
            value: (signed - radius).round() as i64,
            uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(bench.board.outline.step),
            from,
            to,
            nets: Vec::new(),
            holes: vec![i as u32],
            sources: [hole.source].into_iter().chain(outline_source(bench)).collect(),
            length: None,
            run: None,
            same_net: false,
        });
    }
    found
}
