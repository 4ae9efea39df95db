//! Rings, hole to copper, hole to hole; all at finished size.

use static_aabb2d_index::StaticAABB2DIndexBuilder;

use super::touch::axis;
use super::{Bench, Found, HORIZON, uncertainty};
use crate::board::{Hole, HolePlating, LayerRef, Source};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span, point_segment, segment_segment};

/// Ring of every plated hole on every layer where it has copper, worst direction.
pub(super) fn rings(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for (i, hole) in bench.board.holes.iter().enumerate() {
        let (Some(size), true) = (hole.finished, hole.plating != HolePlating::Unplated) else { continue };
        for layer in 0..bench.copper.len() as u32 {
            let touches = bench.touches.of(i as u32);
            let Some(touch) = touches.iter().filter(|t| t.layer == layer).max_by(|a, b| a.reach.total_cmp(&b.reach))
            else {
                continue;
            };
            found.looked_at += 1;
            let value = (touch.reach - size as f64 / 2.0).round() as i64;
            if value > HORIZON {
                continue;
            }
            let image = &bench.geometry.copper[layer as usize];
            found.facts.push(Fact {
                kind: FactKind::RingDrawn,
                layer: Some(image.layer),
                value,
                uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(image.step),
                from: from_wall(&touch.span, size, touch.reach),
                to: touch.span.points().1,
                nets: vec![image.islands[touch.island as usize].net],
                holes: vec![i as u32],
                sources: vec![hole.source],
                length: None,
                run: None,
                same_net: true,
            });
        }
    }
    add_copper_sources(bench, &mut found.facts);
    found
}

/// Hole wall to the nearest copper it does not touch (and, for plated holes, of another net).
pub(super) fn to_copper(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for (i, hole) in bench.board.holes.iter().enumerate() {
        let Some(size) = hole.finished else { continue };
        let path = axis(hole);
        for (layer, index) in bench.copper.iter().enumerate() {
            let number = layer as u32 + 1;
            if number < hole.span.0 || number > hole.span.1 {
                continue;
            }
            found.looked_at += 1;
            let image = &bench.geometry.copper[layer];
            let touched: Vec<u32> =
                bench.touches.of(i as u32).iter().filter(|t| t.layer == layer as u32).map(|t| t.island).collect();
            let own = own_net(bench, i as u32, hole);
            let foreign = |island: u32| !touched.contains(&island) && own != Some(image.islands[island as usize].net);
            let nearest = index.nearest(&path, HORIZON + size / 2, |_, e| foreign(e.island));
            let Some((edge, span)) = nearest else { continue };
            let net = image.islands[index.edges()[edge].island as usize].net;
            found.facts.push(Fact {
                kind: FactKind::HoleToCopper,
                layer: Some(image.layer),
                value: (span.length - size as f64 / 2.0).round() as i64,
                uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(image.step),
                from: from_wall(&span, size, span.length),
                to: span.points().1,
                nets: own.into_iter().chain([net]).collect(),
                holes: vec![i as u32],
                sources: vec![hole.source],
                length: None,
                run: None,
                same_net: false,
            });
        }
    }
    add_copper_sources(bench, &mut found.facts);
    found
}

fn own_net(bench: &Bench<'_>, number: u32, hole: &Hole) -> Option<u32> {
    if hole.plating != HolePlating::Plated {
        return None;
    }
    let touch = bench.touches.of(number).first()?;
    Some(bench.geometry.copper[touch.layer as usize].islands[touch.island as usize].net)
}

/// The point on the wall that faces the far end of a span from the axis.
pub(super) fn from_wall(span: &Span, size: i64, reach: f64) -> landgap_parser::Point {
    let radius = size as f64 / 2.0;
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let length = dx.hypot(dy);
    if length < 1.0 {
        return span.points().0;
    }
    // Where the axis itself lies outside the copper, the worst direction points away from it.
    let sign = if reach < 0.0 { -1.0 } else { 1.0 };
    crate::geometry::distance::round((
        span.from.0 + sign * dx / length * radius,
        span.from.1 + sign * dy / length * radius,
    ))
}

fn add_copper_sources(bench: &Bench<'_>, facts: &mut [Fact]) {
    for (layer, provenance) in bench.board.copper.iter().zip(bench.copper_lines) {
        for fact in facts.iter_mut().filter(|f| f.layer == Some(LayerRef::Copper(layer.number))) {
            fact.sources.extend(provenance.at(fact.to));
        }
    }
}

/// Wall to wall of holes that share a layer; overlapping hits of one tool are one slot, not two holes.
pub(super) fn to_holes(bench: &Bench<'_>) -> Found {
    let paths: Vec<_> = bench.board.holes.iter().map(axis).collect();
    let mut builder = StaticAABB2DIndexBuilder::new(paths.len());
    let mut boxes = Vec::new();
    for (hole, path) in bench.board.holes.iter().zip(&paths) {
        let b = Bounds::of(path).grown(hole.finished.unwrap_or(0) / 2);
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        boxes.push(b);
    }
    let mut found = Found { facts: Vec::new(), looked_at: paths.len() as u64 };
    let Some(index) = (!paths.is_empty()).then(|| builder.build().ok()).flatten() else { return found };
    for (i, b) in boxes.iter().enumerate() {
        let near = b.grown(HORIZON);
        let mut others = index.query(near.min.x, near.min.y, near.max.x, near.max.y);
        others.retain(|j| *j > i);
        others.sort_unstable();
        found.facts.extend(others.into_iter().filter_map(|j| wall_to_wall(bench, &paths, i, j)));
    }
    found
}

fn wall_to_wall(bench: &Bench<'_>, paths: &[Vec<landgap_parser::Point>], i: usize, j: usize) -> Option<Fact> {
    let (a, b) = (&bench.board.holes[i], &bench.board.holes[j]);
    let (size_a, size_b) = (a.finished?, b.finished?);
    if a.span.1 < b.span.0 || b.span.1 < a.span.0 {
        return None;
    }
    let span = path_path(&paths[i], &paths[j]);
    let value = span.length - (size_a + size_b) as f64 / 2.0;
    let one_slot = value < 0.0 && size_a == size_b && a.source.file == b.source.file;
    if value > HORIZON as f64 || one_slot {
        return None;
    }
    let (net_a, net_b) = (own_net(bench, i as u32, a), own_net(bench, j as u32, b));
    Some(Fact {
        kind: FactKind::HoleToHole,
        layer: None,
        value: value.round() as i64,
        uncertainty: uncertainty::point(a.step) + uncertainty::point(b.step),
        from: from_wall(&span, size_a, 1.0),
        to: from_wall(&span.flipped(), size_b, 1.0),
        nets: net_a.into_iter().chain(net_b).collect(),
        holes: vec![i as u32, j as u32],
        sources: sources(a.source, b.source),
        length: None,
        run: None,
        same_net: net_a.is_some() && net_a == net_b,
    })
}

fn sources(a: Source, b: Source) -> Vec<Source> {
    if a == b { vec![a] } else { vec![a, b] }
}

fn path_path(a: &[landgap_parser::Point], b: &[landgap_parser::Point]) -> Span {
    let float = |p: landgap_parser::Point| (p.x as f64, p.y as f64);
    let pieces = |path: &[landgap_parser::Point]| -> Vec<Segment> {
        if path.len() == 1 {
            vec![Segment { a: path[0], b: path[0] }]
        } else {
            path.windows(2).map(|w| Segment { a: w[0], b: w[1] }).collect()
        }
    };
    if a.len() == 1 && b.len() == 1 {
        return point_segment(float(a[0]), Segment { a: b[0], b: b[0] });
    }
    let theirs = pieces(b);
    pieces(a).iter().flat_map(|s| theirs.iter().map(move |t| segment_segment(*s, *t))).fold(Span::FAR, Span::shorter)
}
