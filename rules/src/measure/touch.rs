//! Which copper a hole touches on each layer, and how far its axis is from that copper's edge.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};

use super::in_parallel;
use crate::board::{Board, Hole};
use crate::geometry::distance::Span;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::flatten;
use crate::geometry::{Bounds, Geometry};

/// A hole whose copper was drilled out of the land beforehand still touches it: allow for rounding.
const DRAWN_WITH_HOLE: Nm = 1_000;

/// How far to look for the edge of the copper a hole stands in.
pub const LAND_REACH: Nm = 3_000_000;

/// A hole meeting an island on one layer.
#[derive(Clone, Debug)]
pub struct Touch {
    /// Index into `Board::holes`.
    pub hole: u32,
    /// Position in `Geometry::copper`.
    pub layer: u32,
    /// Index of the island on that layer.
    pub island: u32,
    /// From the hole's axis to the island's edge, worst direction; negative where the axis lies outside.
    pub reach: f64,
    /// Witness points of that distance: axis, edge.
    pub span: Span,
}

/// All touches, ordered by hole, layer, island.
#[derive(Clone, Debug, Default)]
pub struct Touches {
    list: Vec<Touch>,
}

impl Touches {
    /// Touches of one hole.
    #[must_use]
    pub fn of(&self, hole: u32) -> &[Touch] {
        let start = self.list.partition_point(|t| t.hole < hole);
        let end = self.list.partition_point(|t| t.hole <= hole);
        &self.list[start..end]
    }

    /// Copper layers each hole has copper on, by number from the top.
    #[must_use]
    pub fn landed(&self, holes: usize) -> Vec<Vec<u32>> {
        let mut out = vec![Vec::new(); holes];
        for touch in &self.list {
            let layers: &mut Vec<u32> = &mut out[touch.hole as usize];
            if layers.last() != Some(&(touch.layer + 1)) {
                layers.push(touch.layer + 1);
            }
        }
        out
    }
}

/// The axis of a hole as corner points: one for a round hole.
#[must_use]
pub fn axis(hole: &Hole) -> Vec<Point> {
    match &hole.shape {
        HitShape::Hole { at } => vec![*at],
        HitShape::Slot { from, to } if from == to => vec![*from],
        HitShape::Slot { from, to } => vec![*from, *to],
        HitShape::Route { start, edges } => flatten::path(*start, edges),
    }
}

/// Finds every touch of every sized hole with the copper layers it passes.
#[must_use]
pub fn find(board: &Board, geometry: &Geometry, copper: &[EdgeIndex]) -> Touches {
    let layers: Vec<usize> = (0..copper.len()).collect();
    let per_layer = in_parallel(&layers, |&layer| on_layer(board, geometry, &copper[layer], layer));
    let mut list: Vec<Touch> = per_layer.into_iter().flatten().collect();
    list.sort_by_key(|t| (t.hole, t.layer, t.island));
    Touches { list }
}

fn on_layer(board: &Board, geometry: &Geometry, index: &EdgeIndex, layer: usize) -> Vec<Touch> {
    let number = layer as u32 + 1;
    let mut out = Vec::new();
    for (i, hole) in board.holes.iter().enumerate() {
        if hole.span.0 <= number && number <= hole.span.1 {
            out.extend(of_hole(hole, geometry, index, layer).map(|(island, reach, span)| Touch {
                hole: i as u32,
                layer: layer as u32,
                island,
                reach,
                span,
            }));
        }
    }
    out
}

fn of_hole(
    hole: &Hole,
    geometry: &Geometry,
    index: &EdgeIndex,
    layer: usize,
) -> impl Iterator<Item = (u32, f64, Span)> + use<> {
    let radius = hole.finished.unwrap_or(0) / 2;
    let path = axis(hole);
    let inside = index.island_at(path[0]);
    let mut out = Vec::new();
    if let Some(island) = inside {
        out.push(land(index, &path, island, None));
    }
    for (island, contour, span) in met(index, &path, radius + DRAWN_WITH_HOLE) {
        if inside == Some(island) || out.iter().any(|(i, _, _)| *i == island) {
            continue;
        }
        let ring = &geometry.copper[layer].islands[island as usize].contours[contour as usize];
        if contour > 0 && encloses(ring, path[0]) {
            out.push(land(index, &path, island, Some(contour)));
        } else if span.length < radius as f64 {
            out.push((island, -span.length, span));
        }
    }
    out.into_iter()
}

/// The edge of the island a hole stands in, less the contour that is the hole itself.
fn land(index: &EdgeIndex, path: &[Point], island: u32, own: Option<u32>) -> (u32, f64, Span) {
    let found = index.nearest(path, LAND_REACH, |_, e| e.island == island && Some(e.contour) != own);
    match found {
        Some((_, span)) => (island, span.length, span),
        None => {
            let at = (path[0].x as f64, path[0].y as f64);
            let far = LAND_REACH as f64;
            (island, far, Span { length: far, from: at, to: (at.0 + far, at.1), run: None })
        }
    }
}

/// Islands and contours whose boundary passes within `reach` of a path, with the nearest point of each.
fn met(index: &EdgeIndex, path: &[Point], reach: Nm) -> Vec<(u32, u32, Span)> {
    let mut out: Vec<(u32, u32, Span)> = Vec::new();
    index.near(Bounds::of(path).grown(reach), |i| {
        let edge = &index.edges()[i];
        let span = crate::geometry::edges::path_segment(path, edge.segment);
        if span.length > reach as f64 {
            return;
        }
        match out.iter_mut().find(|(island, contour, _)| *island == edge.island && *contour == edge.contour) {
            Some(entry) => entry.2 = entry.2.shorter(span),
            None => out.push((edge.island, edge.contour, span)),
        }
    });
    out.sort_by_key(|(island, contour, _)| (*island, *contour));
    out
}

fn encloses(contour: &[Point], p: Point) -> bool {
    EdgeIndex::of_contours(std::slice::from_ref(&contour.to_vec())).enclosing(p) == 1
}
