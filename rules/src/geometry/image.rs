//! From an image's objects to its final islands.
//!
//! What an object shows in the end is itself less every clear object drawn after it. So each dark
//! object is carved once by the later clear ones that touch it, and the final image is the union of
//! what is left. Nothing is built layer by layer, and objects no clear one touches are never cut.

use std::collections::HashMap;

use landgap_parser::{Image, Point, Polarity};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::engine::{self, Polygon};
use super::layer::{Bounds, Island, LayerImage};
use super::union::union;
use super::{shape, strokes};
use crate::board::{LayerRef, Source};

/// Pieces smaller than this are rounding, not copper.
const SPECK_MM2: f64 = 1e-6;

/// The final image of one layer.
#[must_use]
pub fn build(image: &Image, layer: LayerRef, file: u32) -> LayerImage {
    let mut islands: Vec<Island> = union(final_objects(image))
        .into_iter()
        .filter(|p| engine::area_mm2(p) >= SPECK_MM2)
        .map(|p| island(p, file))
        .collect();
    islands.sort_by_key(|i| (i.bounds.min, i.bounds.max, i.contours[0].len()));
    LayerImage { layer, islands, step: image.step }
}

fn island(contours: Polygon, file: u32) -> Island {
    let bounds = Bounds::of(&contours[0]);
    Island { contours, bounds, net: 0, source: Source { file, line: 0 } }
}

/// Every dark object, carved by the clear objects drawn after it; strokes joined to chains.
fn final_objects(image: &Image) -> Vec<Polygon> {
    let clears = Clears::of(image);
    let mut out = Vec::with_capacity(image.objects.len());
    let mut strokes = Vec::new();
    let mut discs: HashMap<(u32, Point), f64> = HashMap::new();
    let mut pass = 0;
    let mut carved = |number: usize, contours: Polygon| {
        let cutters = clears.after(number, &contours);
        if cutters.is_empty() { out.push(contours) } else { out.extend(engine::difference(&contours, &cutters)) }
    };
    for (number, object) in image.objects.iter().enumerate() {
        if object.polarity == Polarity::Clear {
            pass += 1;
        } else if let Some(stroke) = shape::stroke(image, object, number, pass) {
            strokes.push(stroke);
        } else {
            if let Some((at, radius)) = shape::inner_disc(image, object) {
                let widest = discs.entry((pass, at)).or_default();
                *widest = widest.max(radius);
            }
            carved(number, shape::contours(image, object));
        }
    }
    let wide = |pass, at| discs.get(&(pass, at)).copied().unwrap_or_default();
    strokes::joined(strokes, wide).into_iter().for_each(|(number, contours)| carved(number, contours));
    out
}

/// The clear objects of an image, by place.
struct Clears {
    objects: Vec<(usize, Vec<Vec<Point>>)>,
    index: Option<StaticAABB2DIndex<i64>>,
}

impl Clears {
    fn of(image: &Image) -> Self {
        let objects: Vec<_> = image
            .objects
            .iter()
            .enumerate()
            .filter(|(_, o)| o.polarity == Polarity::Clear)
            .map(|(number, o)| (number, shape::contours(image, o)))
            .filter(|(_, c)| !c.is_empty())
            .collect();
        let mut builder = StaticAABB2DIndexBuilder::new(objects.len());
        for (_, contours) in &objects {
            let b = bounds_of(contours);
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        let index = if objects.is_empty() { None } else { builder.build().ok() };
        Self { objects, index }
    }

    /// Contours of the clear objects drawn after object `number` whose boxes meet these contours.
    fn after(&self, number: usize, contours: &[Vec<Point>]) -> Vec<Vec<Point>> {
        let Some(index) = &self.index else { return Vec::new() };
        if contours.is_empty() {
            return Vec::new();
        }
        let b = bounds_of(contours);
        let mut found = index.query(b.min.x, b.min.y, b.max.x, b.max.y);
        found.sort_unstable();
        found.into_iter().map(|i| &self.objects[i]).filter(|(n, _)| *n > number).flat_map(|(_, c)| c.clone()).collect()
    }
}

/// The box round some contours.
#[must_use]
pub fn bounds_of(contours: &[Vec<Point>]) -> Bounds {
    let mut bounds = Bounds::EMPTY;
    contours.iter().flatten().for_each(|p| bounds.add(*p));
    bounds
}
