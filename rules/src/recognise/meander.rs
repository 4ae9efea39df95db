//! Meanders: tracks laid to and fro, to gain length or as an antenna.

use landgap_parser::{Nm, Point};

use super::strokes::{self, Chain};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::Bounds;
use crate::geometry::edges::EdgeIndex;

/// Fewest bends, each back the other way.
const BENDS: usize = 4;
/// A bend turns by at least this, in radians: ten degrees less than half round.
const HALF_ROUND: f64 = 170.0 / 180.0 * std::f64::consts::PI;
/// Fewest strokes that make four bends.
const STROKES: usize = 5;
/// The way round a bend is at most this long.
const BEND: f64 = 12_000_000.0;
/// A leg between two bends is at most so many times as long as the legs are apart.
const LEG: f64 = 20.0;
/// And never longer than this.
const LONGEST: f64 = 20_000_000.0;

/// One feature a meander. The size is the least distance from leg to leg, less the width of the track.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let layers: Vec<_> = board.copper.iter().filter(|l| !l.negative).collect();
    let look = |layer: &&crate::board::CopperLayer| {
        let Some(Some(image)) = board.images.get(layer.file as usize) else { return Vec::new() };
        let chains = strokes::chains(image, STROKES).into_iter();
        let found =
            chains.flat_map(|c| meanders(&c, layer.number, layer.file, &ground.copper[layer.number as usize - 1]));
        found.collect::<Vec<_>>()
    };
    crate::measure::in_parallel(&layers, look).into_iter().flatten().collect()
}

/// A bend: from where to where along the chain, and to which side.
#[derive(Clone, Copy)]
struct Bend {
    from: usize,
    to: usize,
    left: bool,
}

fn meanders(chain: &Chain, layer: u32, file: u32, copper: &EdgeIndex) -> Vec<Feature> {
    let mut bends = bends(&chain.points);
    bends.retain(|b| apart(chain, b) > 0);
    let follows = |a: &Bend, b: &Bend| {
        let leg = chain.points[a.to].distance(chain.points[b.from]);
        a.left != b.left && leg <= LONGEST.min(LEG * apart(chain, a).max(apart(chain, b)) as f64)
    };
    let runs = bends.chunk_by(follows).filter(|r| r.len() >= BENDS);
    runs.filter(|r| r.iter().all(|b| is_clear(chain, b, copper))).map(|r| feature(chain, r, layer, file)).collect()
}

/// Clear distance between the legs of a bend.
fn apart(chain: &Chain, bend: &Bend) -> Nm {
    chain.points[bend.from].distance(chain.points[bend.to]).round() as Nm - chain.pen
}

/// Whether no copper lies between the legs of a bend: an area filled with strokes is no meander.
fn is_clear(chain: &Chain, bend: &Bend, copper: &EdgeIndex) -> bool {
    let (a, b) = (chain.points[bend.from], chain.points[bend.to]);
    let before = chain.points[bend.from - 1];
    let leg = before.distance(a).max(1.0);
    let inwards = (leg / 2.0).min(a.distance(b)) / leg;
    let off = |p: Nm, q: Nm, r: Nm| p.midpoint(q) + ((r - p) as f64 * inwards).round() as Nm;
    copper.island_at(Point::new(off(a.x, b.x, before.x), off(a.y, b.y, before.y))).is_none()
}

/// Stretches over which a way turns half round to one side, in order.
fn bends(points: &[Point]) -> Vec<Bend> {
    let mut out = Vec::new();
    let (mut sum, mut from, mut way): (f64, usize, f64) = (0.0, 0, 0.0);
    for i in 1..points.len().saturating_sub(1) {
        let by = turn(points[i - 1], points[i], points[i + 1]);
        if by == 0.0 {
            continue;
        }
        if sum * by <= 0.0 {
            (sum, from, way) = (0.0, i, 0.0);
        } else {
            way += points[i - 1].distance(points[i]);
        }
        sum += by;
        if sum.abs() >= HALF_ROUND {
            if way <= BEND {
                out.push(Bend { from, to: i, left: sum > 0.0 });
            }
            (sum, from, way) = (0.0, i, 0.0);
        }
    }
    out
}

/// The angle by which a way turns at its middle point; left is positive.
fn turn(a: Point, b: Point, c: Point) -> f64 {
    let ((px, py), (qx, qy)) = (((b.x - a.x) as f64, (b.y - a.y) as f64), ((c.x - b.x) as f64, (c.y - b.y) as f64));
    (px * qy - py * qx).atan2(px * qx + py * qy)
}

fn feature(chain: &Chain, bends: &[Bend], layer: u32, file: u32) -> Feature {
    let (first, last) = (bends[0], bends[bends.len() - 1]);
    let stretch = &chain.points[first.from..=last.to];
    let bounds = Bounds::of(stretch).grown(chain.pen / 2);
    let reason = format!("a track is laid to and fro in {} bends, each half round", bends.len());
    let mut feature =
        Feature::new(FeatureKind::Meander, Some(LayerRef::Copper(layer)), bounds.middle()).because(reason);
    feature.size = bends.iter().map(|b| apart(chain, b)).min();
    feature.bounds = Some(bounds);
    feature.between = Some((stretch[0], stretch[stretch.len() - 1]));
    feature.settled = true;
    feature.sources = vec![Source { file, line: chain.line }];
    feature
}
