//! Which line of the data drew the copper at a witness point.

use landgap_parser::{Image, Point, Polarity};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use crate::board::{Board, Source};
use crate::geometry::distance::{Segment, point_segment};
use crate::geometry::image::bounds_of;
use crate::geometry::shape;

/// How far a witness point may lie from the boundary of the object that made it.
const NEAR: i64 = 1_500;

/// Finds the objects behind witness points of one artwork file.
pub(crate) struct Provenance {
    file: u32,
    /// Line and contours of every dark object.
    dark: Vec<(u32, Vec<Vec<Point>>)>,
    index: Option<StaticAABB2DIndex<i64>>,
}

impl Provenance {
    /// Indexes the dark objects of one file of the board.
    pub fn of(board: &Board, file: u32) -> Self {
        let image = board.images.get(file as usize).and_then(Option::as_ref);
        let dark: Vec<_> = image.into_iter().flat_map(drawn).collect();
        let mut builder = StaticAABB2DIndexBuilder::new(dark.len());
        for (_, contours) in &dark {
            let b = bounds_of(contours);
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        let index = if dark.is_empty() { None } else { builder.build().ok() };
        Self { file, dark, index }
    }

    /// Sources at both ends of a distance, without repeats.
    pub fn both(&self, from: Point, to: Point) -> Vec<Source> {
        let mut out: Vec<Source> = [from, to].iter().filter_map(|p| self.at(*p)).collect();
        out.dedup();
        out
    }

    /// The line whose object's boundary passes nearest to a point; the later one of equals.
    pub fn at(&self, p: Point) -> Option<Source> {
        let mut found = self.index.as_ref()?.query(p.x - NEAR, p.y - NEAR, p.x + NEAR, p.y + NEAR);
        found.sort_unstable();
        let mut best: Option<(f64, u32)> = None;
        for (line, contours) in found.into_iter().map(|i| &self.dark[i]) {
            let distance = boundary_distance(contours, p);
            if best.is_none_or(|(b, _)| distance <= b) {
                best = Some((distance, *line));
            }
        }
        best.map(|(_, line)| Source { file: self.file, line })
    }
}

fn drawn(image: &Image) -> impl Iterator<Item = (u32, Vec<Vec<Point>>)> + '_ {
    let dark = image.objects.iter().filter(|o| o.polarity == Polarity::Dark);
    dark.map(|o| (o.line, shape::contours(image, o))).filter(|(_, c)| !c.is_empty())
}

fn boundary_distance(contours: &[Vec<Point>], p: Point) -> f64 {
    let at = (p.x as f64, p.y as f64);
    let mut least = f64::INFINITY;
    for contour in contours {
        for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
            least = least.min(point_segment(at, Segment { a: *a, b: *b }).length);
        }
    }
    least
}
