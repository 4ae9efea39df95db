//! A copper area drawn back from other copper or from the board's edge.

use landgap_parser::{Nm, Point};

use super::Tried;
use super::bench::{Bench, along, grown, inside, meets};
use crate::board::HolePlating;
use crate::geometry::engine::{self, Polygon};
use crate::geometry::image::bounds_of;
use crate::geometry::{Bounds, flatten};
use crate::query::{Query, QueryPlace};

/// Copper at least this large, and this much larger than its neighbour, is an area and no track or land.
const AREA_MM2: f64 = 2.0;
const LARGER: f64 = 3.0;

pub fn from_gap(bench: &Bench<'_>, query: &Query, place: &QueryPlace) -> Tried {
    let (Some((a, b)), Some(required)) = (place.between, query.required) else { return Err("its place is not known") };
    let (one, two) = (bench.with_edge_at(a), bench.with_edge_at(b));
    let (Some(one), Some(two)) = (one, two) else { return Err("its copper is not known") };
    if one == two {
        return Err("both sides are the same copper");
    }
    let area = |i: usize| engine::area_mm2(&bench.island(i).contours);
    let (larger, smaller) = if area(one) >= area(two) { (one, two) } else { (two, one) };
    if area(larger) < AREA_MM2 || area(larger) < LARGER * area(smaller) {
        return Err("neither side is a copper area; a track or land would have to move");
    }
    let window = window(place, required);
    let neighbour = inside(&bench.island(smaller).contours, &window);
    let strip = grown(&neighbour, required);
    back(bench, larger, &strip, &window)
}

pub fn from_edge(bench: &Bench<'_>, query: &Query, place: &QueryPlace) -> Tried {
    let (Some((a, b)), Some(required)) = (place.between, query.required) else { return Err("its place is not known") };
    let island = bench.with_edge_at(a).or_else(|| bench.with_edge_at(b)).ok_or("its copper is not known")?;
    if engine::area_mm2(&bench.island(island).contours) < AREA_MM2 {
        return Err("it is a track or a land, which would have to move");
    }
    let window = window(place, required);
    let edges = bench.measured.geometry.outline.iter().flat_map(|c| c.iter().zip(c.iter().cycle().skip(1)));
    let near = edges.filter(|(a, b)| a != b && Bounds::of(&[**a, **b]).meets(&window));
    let strip: Vec<Vec<Point>> = near.map(|(a, b)| flatten::capsule(*a, *b, (required + 500) as f64)).collect();
    let strip = inside(&engine::union(&strip).concat(), &window.grown(required));
    back(bench, island, &strip, &window)
}

/// The box round a place and the stretch along which its value holds.
fn window(place: &QueryPlace, required: Nm) -> Bounds {
    let mut window = Bounds::of(&[place.at]);
    for (a, b) in [place.between, place.run].into_iter().flatten() {
        window.add(a);
        window.add(b);
    }
    window.grown(2 * required + 50_000)
}

/// Takes a strip off an island, unless that would thin what carries current or bare a hole.
fn back(bench: &Bench<'_>, island: usize, strip: &[Vec<Point>], window: &Bounds) -> Tried {
    let contours = &bench.island(island).contours;
    let removed: Vec<Polygon> =
        engine::intersection(contours, strip).into_iter().filter(|p| engine::area_mm2(p) > 1e-6).collect();
    if removed.is_empty() {
        return Err("nothing is too near there");
    }
    if removed.iter().any(|piece| bares_a_hole(bench, piece)) {
        return Err("a land of the area would be cut");
    }
    // The area may not become narrower than a track anywhere: worn by half a track it hangs together as before.
    let half = bench.capability.track(bench.inner, &bench.order).levels.minimum / 2;
    let around = window.grown(20 * half);
    let before = inside(contours, &around);
    let after = engine::difference(&before, strip).concat();
    if worn(&after, half) > worn(&before, half) {
        return Err("the area would become too narrow there");
    }
    Ok((Vec::new(), removed))
}

/// How many pieces are left of an area worn from its edges.
fn worn(area: &[Vec<Point>], by: Nm) -> usize {
    engine::difference(area, &along(area, by)).iter().filter(|p| engine::area_mm2(p) > 1e-4).count()
}

fn bares_a_hole(bench: &Bench<'_>, piece: &Polygon) -> bool {
    let ring = bench.capability.ring(bench.inner, &bench.order).levels.minimum;
    let bounds = bounds_of(piece);
    let near = bench.measured.board.holes.iter().filter(|h| h.plating == HolePlating::Plated && h.is_round());
    near.filter(|h| bounds.grown(h.finished.unwrap_or(0) / 2 + ring).meets(&Bounds::of(&[h.at()]))).any(|h| {
        let land = flatten::circle(h.at(), (h.finished.unwrap_or(0) / 2 + ring) as f64);
        meets(piece, std::slice::from_ref(&land))
    })
}
