//! Which islands a stated point stands on.

use landgap_parser::{Nm, Point};

use super::Ground;
use super::stated::Stated;
use crate::board::{Board, Hole, LayerRef};
use crate::geometry::distance::{Segment, point_segment, round};
use crate::measure::touch;

/// A stated hole and a drilled one this near are the same.
pub(crate) const SAME_HOLE: Nm = 60_000;

/// An island: position of its layer, number on it.
pub(super) type Node = (u32, u32);

/// Holes in order of x.
pub(super) struct Holes(Vec<(Point, u32)>);

impl Holes {
    pub fn of(holes: &[Hole]) -> Self {
        let mut list: Vec<(Point, u32)> = holes.iter().enumerate().map(|(i, h)| (h.at(), i as u32)).collect();
        list.sort_unstable();
        Self(list)
    }

    /// The nearest hole within reach, else the slot or routed path that passes there.
    pub fn around(&self, p: Point, board: &Board) -> Option<u32> {
        self.at(p).or_else(|| {
            let passes = |h: &Hole| {
                let axis = touch::axis(h);
                axis.windows(2).any(|w| {
                    let span = point_segment((p.x as f64, p.y as f64), Segment { a: w[0], b: w[1] });
                    span.length <= (h.finished.unwrap_or(0) / 2 + SAME_HOLE) as f64
                })
            };
            board.holes.iter().position(passes).map(|i| i as u32)
        })
    }

    /// The nearest hole within reach.
    fn at(&self, p: Point) -> Option<u32> {
        let start = self.0.partition_point(|(t, _)| t.x < p.x - SAME_HOLE);
        self.0[start..]
            .iter()
            .take_while(|(t, _)| t.x <= p.x + SAME_HOLE)
            .filter(|(t, _)| (t.y - p.y).abs() <= SAME_HOLE)
            .min_by_key(|(t, i)| ((t.x - p.x).abs() + (t.y - p.y).abs(), *i))
            .map(|(_, i)| *i)
    }
}

/// The islands under a point, on every layer it may stand on; empty where it meets none.
pub(super) fn islands(point: &Stated, holes: &Holes, ground: &Ground<'_>) -> Vec<Node> {
    let layers = point.layers.0..=point.layers.1;
    let mut out: Vec<Node> = Vec::new();
    if let Some(hole) = holes.at(point.at).filter(|_| point.through) {
        let met = ground.touches.of(hole).iter().filter(|t| layers.contains(&(t.layer + 1)));
        out.extend(met.map(|t| (t.layer, t.island)));
    }
    if out.is_empty() {
        // Without a hole in the drill data only the outer lands can be what is meant.
        let outer = [layers.start() - 1, layers.end().saturating_sub(1)];
        out.extend(outer.iter().filter_map(|l| Some((*l, on_layer(point, *l, ground)?))));
    }
    out.sort_unstable();
    out.dedup();
    out
}

fn on_layer(point: &Stated, layer: u32, ground: &Ground<'_>) -> Option<u32> {
    let index = ground.copper.get(layer as usize)?;
    index.island_at(point.at).or_else(|| {
        let (edge, _) = index.nearest(&[point.at], point.reach, |_, _| true)?;
        Some(index.edges()[edge].island)
    })
}

/// Parts of a stated land at which copper is looked for, of its size either way from its middle.
const WITHIN: f64 = 0.35;

/// The outer layers on which a stated land is not there, though copper passes or a hole stands there: of four
/// places well inside it, at most two lie in copper, as where only a track runs through.
pub(super) fn without_land(point: &Stated, ground: &Ground<'_>) -> Vec<LayerRef> {
    let Some(land) = point.land else { return Vec::new() };
    let last = ground.copper.len().saturating_sub(1);
    let mut layers: Vec<usize> = Vec::new();
    layers.extend(land.sides.0.then_some(0));
    layers.extend((land.sides.1 && (last > 0 || !land.sides.0)).then_some(last));
    let (sin, cos) = land.degrees.to_radians().sin_cos();
    let (x, y) = (land.size.0 as f64 * WITHIN, land.size.1 as f64 * WITHIN);
    let places = [(x, 0.0), (-x, 0.0), (0.0, y), (0.0, -y)]
        .map(|(u, v)| round((point.at.x as f64 + u * cos - v * sin, point.at.y as f64 + u * sin + v * cos)));
    let is_bare = |layer: &usize| places.iter().filter(|p| ground.copper[*layer].island_at(**p).is_some()).count() <= 2;
    layers.into_iter().filter(is_bare).map(|l| ground.geometry.copper[l].layer).collect()
}
