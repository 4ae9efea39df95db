//! One layer being changed, island by island, and the questions remedies ask of it.

use landgap_parser::{Nm, Point};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use crate::board::{LayerRef, Side};
use crate::capability::{Capability, Order, Settled};
use crate::check::Measured;
use crate::geometry::engine::{self, Polygon};
use crate::geometry::image::bounds_of;
use crate::geometry::{Bounds, Island, LayerImage, flatten};

/// A layer being changed.
pub struct Bench<'a> {
    pub measured: &'a Measured,
    pub capability: &'a Capability,
    pub order: Settled,
    /// Whether the layer lies inside the board.
    pub inner: bool,
    /// The layer as it is now.
    pub image: LayerImage,
    index: StaticAABB2DIndex<i64>,
}

impl<'a> Bench<'a> {
    pub fn new(measured: &'a Measured, capability: &'a Capability, order: &Order, layer: LayerRef) -> Option<Self> {
        let image = measured.geometry.image(layer)?.clone();
        let mut builder = StaticAABB2DIndexBuilder::new(image.islands.len());
        for Bounds { min, max } in image.islands.iter().map(|i| i.bounds.grown(2_000_000)) {
            builder.add(min.x, min.y, max.x, max.y);
        }
        let last = measured.board.copper.len() as u32;
        let inner = matches!(layer, LayerRef::Copper(n) if n > 1 && n < last);
        let index = if image.islands.is_empty() { return None } else { builder.build().ok()? };
        Some(Self { measured, capability, order: order.settle(capability, last > 2), inner, image, index })
    }

    /// Islands whose boxes meet a box, by number. Islands grow by less than the index allows for.
    pub fn near(&self, b: Bounds) -> Vec<usize> {
        let mut found = self.index.query(b.min.x, b.min.y, b.max.x, b.max.y);
        found.retain(|i| self.image.islands[*i].bounds.meets(&b));
        found.sort_unstable();
        found
    }

    /// The island with an edge nearest to a point, within two micrometres.
    pub fn with_edge_at(&self, p: Point) -> Option<usize> {
        const REACH: Nm = 2_000;
        let spot = Bounds::of(&[p]).grown(REACH);
        let far = |i: &usize| {
            let edges = self.image.islands[*i].contours.iter().flat_map(|c| c.iter().zip(c.iter().cycle().skip(1)));
            edges.map(|(a, b)| distance(p, *a, *b)).fold(f64::MAX, f64::min)
        };
        let near = self.near(spot).into_iter().map(|i| (far(&i), i)).filter(|(d, _)| *d <= REACH as f64);
        near.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, i)| i)
    }

    pub fn island(&self, i: usize) -> &Island {
        &self.image.islands[i]
    }

    /// Makes a change: what is added joins the one island it touches, what is taken away leaves each island whole.
    pub fn take(&mut self, added: &[Polygon], removed: &[Polygon]) -> Result<(), &'static str> {
        for piece in added {
            let met: Vec<usize> =
                self.near(bounds_of(piece)).into_iter().filter(|i| meets(&self.island(*i).contours, piece)).collect();
            let Some((&first, others)) = met.split_first() else { return Err("nothing is there to add it to") };
            if matches!(self.image.layer, LayerRef::Copper(_)) && !others.is_empty() {
                return Err("it would touch other copper");
            }
            let mut all = self.island(first).contours.clone();
            all.extend(others.iter().flat_map(|i| self.island(*i).contours.clone()));
            all.extend(piece.clone());
            let mut joined = engine::union(&all);
            if joined.len() != 1 {
                return Err("it would not hang together");
            }
            self.set(first, joined.swap_remove(0));
            others.iter().for_each(|i| self.set(*i, Vec::new()));
        }
        for piece in removed {
            for i in self.near(bounds_of(piece)) {
                if !meets(&self.island(i).contours, piece) {
                    continue;
                }
                let mut rest = engine::difference(&self.island(i).contours, piece);
                rest.retain(|p| engine::area_mm2(p) > 1e-6);
                if rest.len() != 1 {
                    return Err("it would cut the copper in two");
                }
                self.set(i, rest.swap_remove(0));
            }
        }
        Ok(())
    }

    fn set(&mut self, i: usize, contours: Polygon) {
        let island = &mut self.image.islands[i];
        island.bounds = bounds_of(&contours);
        island.contours = contours;
    }

    /// The side of a mask, or of an outer copper layer.
    pub fn side(&self) -> Option<Side> {
        match self.image.layer {
            LayerRef::Mask(side) | LayerRef::Legend(side) => Some(side),
            LayerRef::Copper(_) => None,
        }
    }
}

/// Distance from a point to a segment.
fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = ((b.x - a.x) as f64, (b.y - a.y) as f64);
    let (px, py) = ((p.x - a.x) as f64, (p.y - a.y) as f64);
    let along = if dx == 0.0 && dy == 0.0 { 0.0 } else { ((px * dx + py * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0) };
    ((px - along * dx).powi(2) + (py - along * dy).powi(2)).sqrt()
}

/// Whether two areas share any area.
pub fn meets(a: &[Vec<Point>], b: &[Vec<Point>]) -> bool {
    bounds_of(a).meets(&bounds_of(b)) && engine::intersection(a, b).iter().any(|p| engine::area_mm2(p) > 1e-9)
}

/// A box as a contour.
pub fn rectangle(b: &Bounds) -> Vec<Point> {
    vec![b.min, Point::new(b.max.x, b.min.y), b.max, Point::new(b.min.x, b.max.y)]
}

/// The part of an area inside a box.
pub fn inside(area: &[Vec<Point>], window: &Bounds) -> Vec<Vec<Point>> {
    engine::intersection(area, &[rectangle(window)]).concat()
}

/// Everything within a distance of an area.
pub fn grown(area: &[Vec<Point>], by: Nm) -> Vec<Vec<Point>> {
    let mut all = area.to_vec();
    all.extend(along(area, by));
    engine::union(&all).concat()
}

/// Everything within a distance of the edges of an area, as pieces that overlap.
pub fn along(area: &[Vec<Point>], by: Nm) -> Vec<Vec<Point>> {
    // A capsule's flattened ends stay inside the true ones by less than this.
    let radius = (by + 500) as f64;
    let edges = area.iter().flat_map(|c| c.iter().zip(c.iter().cycle().skip(1)));
    edges.filter(|(a, b)| a != b).map(|(a, b)| flatten::capsule(*a, *b, radius)).collect()
}
