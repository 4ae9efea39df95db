//! Mask left out between two openings.

use landgap_parser::Point;

use super::Tried;
use super::bench::{Bench, grown, inside, meets};
use crate::board::{LayerRef, Side};
use crate::geometry::Bounds;
use crate::geometry::engine::{self, Polygon};
use crate::geometry::image::bounds_of;
use crate::query::{Query, QueryPlace};

pub fn dropped(bench: &Bench<'_>, _: &Query, place: &QueryPlace) -> Tried {
    let (Some((a, b)), Some(web)) = (place.between, place.measured) else { return Err("its place is not known") };
    let (Some(one), Some(two)) = (bench.with_edge_at(a), bench.with_edge_at(b)) else {
        return Err("its openings are not known");
    };
    if one == two {
        return Err("it is one opening already");
    }
    let mut window = Bounds::of(&[a, b]);
    if let Some((from, to)) = place.run {
        window.add(from);
        window.add(to);
    }
    let window = window.grown(2 * web.max(0) + 100_000);
    let reach = web.max(0) * 3 / 4 + 1_000;
    let grown_one = grown(&inside(&bench.island(one).contours, &window), reach);
    let grown_two = grown(&inside(&bench.island(two).contours, &window), reach);
    let between: Vec<Vec<Point>> = engine::intersection(&grown_one, &grown_two).concat();
    let mut both = bench.island(one).contours.clone();
    both.extend(bench.island(two).contours.clone());
    let added: Vec<Polygon> =
        engine::difference(&between, &both).into_iter().filter(|p| engine::area_mm2(p) > 1e-6).collect();
    if added.is_empty() {
        return Err("no mask is left between them");
    }
    if added.iter().any(|piece| bares_other_copper(bench, piece, &both)) {
        return Err("copper of another net would be bared");
    }
    // The whole of what lies between, so that it joins both openings.
    Ok((vec![between], Vec::new()))
}

/// Whether a piece of mask covers copper that shows in neither of its two openings.
fn bares_other_copper(bench: &Bench<'_>, piece: &Polygon, openings: &[Vec<Point>]) -> bool {
    let last = bench.measured.board.copper.len() as u32;
    let number = if bench.side() == Some(Side::Bottom) { last } else { 1 };
    let Some(copper) = bench.measured.geometry.image(LayerRef::Copper(number)) else { return false };
    let bounds = bounds_of(piece);
    copper
        .islands
        .iter()
        .filter(|i| i.bounds.meets(&bounds) && meets(&i.contours, piece))
        .any(|i| !meets(&i.contours, openings))
}
