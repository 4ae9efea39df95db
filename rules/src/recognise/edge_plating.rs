//! Runs of the board's edge over which copper of one net goes on more than one layer, as for a plated edge.

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, HoleKind, Part, Source};
use crate::geometry::distance::{Segment, float, orientation, point_segment, round};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::outline::Edge;

/// Copper that reaches no further over the edge ends at it.
const OVER: f64 = 20_000.0;
/// Shorter runs are lands and tracks that are merely cut.
const SHORTEST: f64 = 1_000_000.0;
/// The land of a half-hole reaches at most this far beyond the hole.
const LAND: f64 = 1_000_000.0;
/// More stretches on one contour than this are not told apart.
const MOST: usize = 4_000;

/// A stretch of a contour over which copper goes on one layer.
#[derive(Clone, Copy)]
struct Stretch {
    from: f64,
    to: f64,
    layer: usize,
    net: u32,
}

/// A contour of the outline, moved outwards.
struct Way<'a> {
    points: &'a [Point],
    /// Length up to each corner.
    along: Vec<f64>,
    /// 1 where outside lies to the right, -1 to the left.
    right: f64,
}

/// One feature a run. The size is its length; settled where the order says so. Its parts are its straight pieces.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let Some(edge) = ground.edge else { return Vec::new() };
    let layers: Vec<usize> = (0..ground.copper.len()).collect();
    let mut found = Vec::new();
    for points in &ground.geometry.outline {
        let Some(way) = Way::of(points, edge) else { continue };
        let on = |layer: &usize| way.stretches(ground, *layer);
        let stretches: Vec<Stretch> = crate::measure::in_parallel(&layers, on).into_iter().flatten().collect();
        if stretches.len() > MOST {
            continue;
        }
        let runs = shared(&stretches, way.length());
        found.extend(runs.iter().filter(|r| !is_half_hole(board, &way, r)).map(|r| feature(board, &way, r)));
    }
    found
}

impl<'a> Way<'a> {
    fn of(points: &'a [Point], edge: &Edge) -> Option<Self> {
        let mut along = vec![0.0];
        let mut longest = (0.0, 0);
        for i in 0..points.len() {
            let own = points[i].distance(points[(i + 1) % points.len()]);
            longest = if own > longest.0 { (own, i) } else { longest };
            along.push(along[i] + own);
        }
        let mut way = Self { points, along, right: 1.0 };
        let side = way.side(longest.1);
        let middle = round((f64::midpoint(side.0.0, side.1.0), f64::midpoint(side.0.1, side.1.1)));
        way.right = if edge.holds(middle) { -1.0 } else { 1.0 };
        (longest.0 > 0.0).then_some(way)
    }

    fn length(&self) -> f64 {
        self.along[self.points.len()]
    }

    /// One side of the contour, moved outwards.
    fn side(&self, i: usize) -> ((f64, f64), (f64, f64)) {
        let (a, b) = (float(self.points[i]), float(self.points[(i + 1) % self.points.len()]));
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let by = self.right * OVER / dx.hypot(dy).max(1.0);
        ((a.0 + dy * by, a.1 - dx * by), (b.0 + dy * by, b.1 - dx * by))
    }

    /// A point of the contour.
    fn at(&self, along: f64) -> Point {
        let along = along.rem_euclid(self.length().max(1.0));
        let i = self.along.partition_point(|a| *a <= along).clamp(1, self.points.len()) - 1;
        let own = (self.along[i + 1] - self.along[i]).max(1.0);
        let (a, b) = (float(self.points[i]), float(self.points[(i + 1) % self.points.len()]));
        let part = (along - self.along[i]) / own;
        round((a.0 + part * (b.0 - a.0), a.1 + part * (b.1 - a.1)))
    }

    /// Where copper of a layer lies just outside.
    fn stretches(&self, ground: &Ground<'_>, layer: usize) -> Vec<Stretch> {
        let index = &ground.copper[layer];
        let islands = &ground.geometry.copper[layer].islands;
        let mut out: Vec<Stretch> = Vec::new();
        let mut within: Option<u32> = None;
        for i in 0..self.points.len() {
            let (a, b) = self.side(i);
            let side = Segment { a: round(a), b: round(b) };
            let mut cuts = crossings(index, side);
            cuts.push((1.0, None));
            if i == 0 || within.is_some() {
                within = index.island_at(side.a);
            }
            let (start, own) = (self.along[i], self.along[i + 1] - self.along[i]);
            let mut last = 0.0;
            for (part, cut) in cuts {
                let left = matches!(cut, Some((_, false)));
                // A crossing out of copper says what was within, whatever was thought.
                let inside = if left { cut.map(|(island, _)| island) } else { within };
                if let Some(island) = inside.filter(|_| part > last) {
                    let net = islands[island as usize].net;
                    join(&mut out, Stretch { from: start + last * own, to: start + part * own, layer, net });
                }
                last = part;
                within = match cut {
                    Some((island, true)) => Some(island),
                    Some(_) => None,
                    None => within,
                };
            }
        }
        out
    }
}

/// Goes on with the last stretch where that ends here.
fn join(out: &mut Vec<Stretch>, next: Stretch) {
    match out.last_mut() {
        Some(last) if last.net == next.net && next.from - last.to <= 1.0 => last.to = next.to,
        _ => out.push(next),
    }
}

/// Where a segment crosses the boundary: how far along, which island, and whether into copper.
fn crossings(index: &EdgeIndex, way: Segment) -> Vec<(f64, Option<(u32, bool)>)> {
    let mut out = Vec::new();
    index.near(crate::geometry::Bounds::of(&[way.a, way.b]), |i| {
        let edge = &index.edges()[i];
        let (p, q) = (orientation(way.a, way.b, edge.segment.a), orientation(way.a, way.b, edge.segment.b));
        let (r, s) =
            (orientation(edge.segment.a, edge.segment.b, way.a), orientation(edge.segment.a, edge.segment.b, way.b));
        if (p > 0) != (q > 0) && (r > 0) != (s > 0) {
            // Copper lies to the left of its boundary.
            out.push((r as f64 / (r - s) as f64, Some((edge.island, s > 0))));
        }
    });
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

/// A run over which at least two layers carry one net, with how many layers do.
#[derive(Clone, Copy)]
struct Run {
    from: f64,
    to: f64,
    layers: u32,
    whole: bool,
}

fn shared(stretches: &[Stretch], length: f64) -> Vec<Run> {
    let mut cuts: Vec<f64> = stretches.iter().flat_map(|s| [s.from, s.to]).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();
    let mut sorted = stretches.to_vec();
    sorted.sort_by(|a, b| a.from.total_cmp(&b.from));
    let (mut next, mut open): (usize, Vec<Stretch>) = (0, Vec::new());
    let mut runs: Vec<Run> = Vec::new();
    for pair in cuts.windows(2) {
        while sorted.get(next).is_some_and(|s| s.from <= pair[0]) {
            open.push(sorted[next]);
            next += 1;
        }
        open.retain(|s| s.to > pair[0]);
        let layers = open.iter().map(|s| open.iter().filter(|t| t.net == s.net).map(|t| t.layer)).map(distinct).max();
        let Some(layers) = layers.filter(|n| *n > 1) else { continue };
        match runs.last_mut() {
            Some(run) if pair[0] - run.to <= 1.0 => (run.to, run.layers) = (pair[1], run.layers.max(layers)),
            _ => runs.push(Run { from: pair[0], to: pair[1], layers, whole: false }),
        }
    }
    close(&mut runs, length);
    runs.retain(|r| r.to - r.from >= SHORTEST);
    runs
}

fn distinct(layers: impl Iterator<Item = usize>) -> u32 {
    layers.collect::<std::collections::BTreeSet<_>>().len() as u32
}

/// A run over the start of the contour is one; and a run may go all the way round.
fn close(runs: &mut Vec<Run>, length: f64) {
    let meets = |first: &Run, last: &Run| first.from <= 1.0 && last.to >= length - 1.0;
    if runs.len() > 1 && meets(&runs[0], &runs[runs.len() - 1]) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            (last.to, last.layers) = (length + first.to, last.layers.max(first.layers));
        }
    }
    for run in runs {
        run.whole = run.to - run.from >= 0.9 * length;
    }
}

/// Whether a run is no more than the land of a half-hole.
fn is_half_hole(board: &Board, way: &Way<'_>, run: &Run) -> bool {
    let middle = way.at(f64::midpoint(run.from, run.to));
    board.holes.iter().filter(|h| h.kind == HoleKind::HalfHole || !h.is_round()).any(|hole| {
        let reach = hole.finished.unwrap_or(0) as f64 / 2.0 + LAND;
        let axis = crate::measure::touch::axis(hole);
        let ends = Segment { a: axis[0], b: axis[axis.len() - 1] };
        point_segment(float(middle), ends).length <= reach
            && run.to - run.from <= axis[0].distance(ends.b) + 2.0 * reach
    })
}

fn feature(board: &Board, way: &Way<'_>, run: &Run) -> Feature {
    let length = run.to - run.from;
    let mut feature = Feature::new(FeatureKind::EdgePlating, None, way.at(f64::midpoint(run.from, run.to))).because(
        format!("copper of one net goes over the edge on {} layers along the same {:.1} mm", run.layers, length / 1e6),
    );
    if run.whole {
        feature = feature.because("it does so all round, as areas do that were drawn past the edge");
    }
    if board.edge_plating == Some(true) {
        feature = feature.because("the job file says that edges are plated");
    }
    feature.settled = board.edge_plating == Some(true);
    feature.size = Some(length.round() as Nm);
    feature.between = Some((way.at(run.from), way.at(run.to)));
    feature.parts = parts(way, run);
    feature.sources = board.outline.files.iter().map(|f| Source { file: *f, line: 0 }).collect();
    feature
}

/// The straight pieces of a run.
fn parts(way: &Way<'_>, run: &Run) -> Vec<Part> {
    let length = way.length();
    let corners = way.along[..way.points.len()].iter().flat_map(|a| [*a, a + length]);
    let mut stops: Vec<f64> = corners.filter(|a| *a > run.from && *a < run.to).collect();
    stops.extend([run.from, run.to]);
    stops.sort_by(f64::total_cmp);
    stops.windows(2).map(|w| Part { from: way.at(w[0]), to: way.at(w[1]), width: 0 }).collect()
}
