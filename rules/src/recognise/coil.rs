//! Coils: tracks wound round themselves.

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::Bounds;
use crate::geometry::distance::float;

/// Fewest turns of a coil, in radians, less a little for ends that stop short.
const TURNS: f64 = 2.0 * std::f64::consts::TAU - 0.5;
/// A piece broader than this on average is an area.
const BROADEST: f64 = 3_000_000.0;
/// Shorter boundaries wind round nothing.
const SHORTEST: f64 = 4_000_000.0;
/// How far to look for the next turn.
const REACH: Nm = 3_000_000;
/// So many sides are tried for the gap between turns.
const TRIES: usize = 64;

/// One feature a coil. The size is the least gap between turns found at up to 64 of its sides.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let mut jobs = Vec::new();
    for (position, layer) in ground.geometry.copper.iter().enumerate() {
        jobs.extend(
            (0..layer.islands.len()).filter(|i| layer.islands[*i].contours[0].len() >= 8).map(|i| (position, i)),
        );
    }
    let parts: Vec<&[(usize, usize)]> = jobs.chunks(256).collect();
    let look = |part: &&[(usize, usize)]| {
        part.iter().filter_map(|(position, island)| coil(board, ground, *position, *island)).collect::<Vec<_>>()
    };
    crate::measure::in_parallel(&parts, look).into_iter().flatten().collect()
}

fn coil(board: &Board, ground: &Ground<'_>, position: usize, island: usize) -> Option<Feature> {
    let shape = &ground.geometry.copper[position].islands[island];
    let outer = &shape.contours[0];
    let around: f64 = outer.iter().zip(outer.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum();
    let area = crate::geometry::engine::area_mm2(&shape.contours) * 1e12;
    if around < SHORTEST || 2.0 * area / around > BROADEST {
        return None;
    }
    let stretch = most_wound(outer)?;
    let bounds = Bounds::of(&stretch);
    let turns = wound_round(&stretch, bounds.middle()).abs();
    if turns < TURNS {
        return None;
    }
    let layer = &board.copper[position];
    let mut feature = Feature::new(FeatureKind::Coil, Some(LayerRef::Copper(layer.number)), bounds.middle())
        .because(format!("one piece of copper winds {:.1} times round the same place", turns / std::f64::consts::TAU));
    feature.size = gap(ground, position, island as u32, &stretch);
    feature.bounds = Some(bounds);
    feature.settled = true;
    feature.sources = vec![Source { file: layer.file, line: shape.source.line }];
    Some(feature)
}

/// The stretch of a closed contour along which it turns furthest one way, if that may be a coil.
fn most_wound(contour: &[Point]) -> Option<Vec<Point>> {
    let n = contour.len();
    let mut sum = 0.0;
    // Least and greatest sum so far, and the best stretch either way; twice round, for stretches over the start.
    let (mut low, mut high) = ((0.0, 0), (0.0, 0));
    let mut best: (f64, usize, usize) = (0.0, 0, 0);
    for i in 0..2 * n {
        sum += turn(contour[(i + n - 1) % n], contour[i % n], contour[(i + 1) % n]);
        if sum < low.0 || i - low.1 >= n {
            low = (sum, i);
        }
        if sum > high.0 || i - high.1 >= n {
            high = (sum, i);
        }
        for (from, wound) in [(low.1, sum - low.0), (high.1, high.0 - sum)] {
            if wound > best.0 {
                best = (wound, from, i);
            }
        }
    }
    (best.0 >= TURNS).then(|| (best.1..=best.2).map(|i| contour[i % n]).collect())
}

/// The angle by which a way turns at its middle point; left is positive.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    let ((px, py), (qx, qy)) = (((b.x - a.x) as f64, (b.y - a.y) as f64), ((c.x - b.x) as f64, (c.y - b.y) as f64));
    (px * qy - py * qx).atan2(px * qx + py * qy)
}

/// The angle under which a way goes round a point.
fn wound_round(way: &[Point], middle: Point) -> f64 {
    let seen = |p: Point| ((p.y - middle.y) as f64).atan2((p.x - middle.x) as f64);
    let step = |w: &[Point]| {
        let by = seen(w[1]) - seen(w[0]);
        by - std::f64::consts::TAU * (by / std::f64::consts::TAU).round()
    };
    way.windows(2).map(step).sum()
}

/// The least gap between neighbouring turns, found at some of the longest sides.
fn gap(ground: &Ground<'_>, position: usize, island: u32, stretch: &[Point]) -> Option<Nm> {
    let mut sides: Vec<(Point, Point)> = stretch.windows(2).map(|w| (w[0], w[1])).collect();
    sides.sort_by_key(|(a, b)| std::cmp::Reverse(a.distance(*b).round() as Nm));
    let index = &ground.copper[position];
    let clear = |(a, b): &(Point, Point)| {
        let (length, (ax, ay)) = (a.distance(*b), float(*a));
        let (dx, dy) = ((b.x - a.x) as f64 / length, (b.y - a.y) as f64 / length);
        // Copper lies to the left; look to the right from a point a micrometre off the side.
        let at = (ax + dx * length / 2.0 + dy * 1e3, ay + dy * length / 2.0 - dx * 1e3);
        let ahead = |s: &crate::geometry::distance::Segment| {
            let middle = float(Point::new(s.a.x.midpoint(s.b.x), s.a.y.midpoint(s.b.y)));
            (middle.0 - at.0) * dy - (middle.1 - at.1) * dx > 1e3
        };
        let from = crate::geometry::distance::round(at);
        let found = index.nearest_each(from, REACH, |e| e.island == island && ahead(&e.segment));
        found.map(|span| span.length.round() as Nm + 1_000)
    };
    sides.iter().take(TRIES).filter_map(clear).min()
}
