//! A land grown round its hole until the ring is wide enough.

use super::Tried;
use super::bench::{Bench, meets};
use crate::board::HolePlating;
use crate::geometry::engine;
use crate::geometry::image::bounds_of;
use crate::geometry::{Bounds, flatten};
use crate::query::{Query, QueryPlace};

pub fn grown(bench: &Bench<'_>, query: &Query, place: &QueryPlace) -> Tried {
    let hole = place.holes.first().and_then(|h| bench.measured.board.holes.get(*h as usize)).filter(|h| h.is_round());
    let (Some(hole), Some(drawn), Some(measured), Some(required)) = (hole, place.drawn, place.measured, query.required)
    else {
        return Err("it is no round hole");
    };
    let finished = hole.finished.ok_or("its size is not known")?;
    let ring = drawn + (required - measured).max(0);
    // The corners of a flattened circle may lie inside the true one by less than this.
    let radius = (finished / 2 + ring + 500) as f64;
    let disc = flatten::circle(hole.at(), radius);
    let spot = Bounds::of(&[hole.at()]);
    let near = bench.near(spot.grown(radius as i64));
    let land = near.iter().copied().find(|i| meets(&bench.island(*i).contours, std::slice::from_ref(&disc)));
    let land = land.ok_or("no land is there")?;
    let gap = bench.capability.gap(bench.inner, &bench.order).levels.minimum;
    let keep_out = flatten::circle(hole.at(), radius + gap as f64);
    let other = bench.near(spot.grown(radius as i64 + gap)).into_iter().filter(|i| *i != land);
    if other.into_iter().any(|i| meets(&bench.island(i).contours, std::slice::from_ref(&keep_out))) {
        return Err("other copper is too near");
    }
    let wall = bench.capability.hole_to_copper(false, bench.inner).levels.minimum;
    let too_near = |h: &crate::board::Hole| {
        let apart = h.at().distance(hole.at());
        apart > 1.0 && h.plating != HolePlating::Plated && apart < radius + (h.finished.unwrap_or(0) / 2 + wall) as f64
    };
    if bench.measured.board.holes.iter().any(too_near) {
        return Err("a hole without plating is too near");
    }
    let edge = bench.capability.edge_copper(bench.inner).levels.minimum;
    let reach = flatten::circle(hole.at(), radius + edge as f64);
    let outline = &bench.measured.geometry.outline;
    if outline.iter().any(|c| crosses(c, &reach)) {
        return Err("the board's edge is too near");
    }
    let added = engine::difference(std::slice::from_ref(&disc), &bench.island(land).contours);
    let added: Vec<_> = added.into_iter().filter(|p| engine::area_mm2(p) > 1e-6).collect();
    if added.is_empty() { Err("nothing is missing there") } else { Ok((vec![vec![disc]], Vec::new())) }
}

/// Whether a closed line runs through an area.
fn crosses(line: &[landgap_parser::Point], area: &[landgap_parser::Point]) -> bool {
    let bounds = bounds_of(std::slice::from_ref(&area.to_vec()));
    let near: Vec<Vec<landgap_parser::Point>> = line
        .iter()
        .zip(line.iter().cycle().skip(1))
        .filter(|(a, b)| a != b && Bounds::of(&[**a, **b]).meets(&bounds))
        .map(|(a, b)| flatten::capsule(*a, *b, 1_000.0))
        .collect();
    !near.is_empty() && meets(&near, std::slice::from_ref(&area.to_vec()))
}
