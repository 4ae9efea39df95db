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
pub(super) struct Provenance<'a> {
    file: u32,
    image: Option<&'a Image>,
    dark: Vec<usize>,
    index: Option<StaticAABB2DIndex<i64>>,
}

impl<'a> Provenance<'a> {
    /// Indexes the dark objects of one file of the board.
    pub fn of(board: &'a Board, file: u32) -> Self {
        let image = board.images.get(file as usize).and_then(Option::as_ref);
        let mut dark = Vec::new();
        let mut boxes = Vec::new();
        for (number, object) in image.iter().flat_map(|i| i.objects.iter().enumerate()) {
            let bounds = image.map(|i| bounds_of(&shape::contours(i, object)));
            if let (Polarity::Dark, Some(b)) = (object.polarity, bounds.filter(|b| !b.is_empty())) {
                dark.push(number);
                boxes.push(b);
            }
        }
        let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
        for b in &boxes {
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        let index = if boxes.is_empty() { None } else { builder.build().ok() };
        Self { file, image, dark, index }
    }

    /// Sources at both ends of a distance, without repeats.
    pub fn both(&self, from: Point, to: Point) -> Vec<Source> {
        let mut out: Vec<Source> = [from, to].iter().filter_map(|p| self.at(*p)).collect();
        out.dedup();
        out
    }

    /// The line whose object's boundary passes nearest to a point; the later one of equals.
    pub fn at(&self, p: Point) -> Option<Source> {
        let (image, index) = (self.image?, self.index.as_ref()?);
        let mut found = index.query(p.x - NEAR, p.y - NEAR, p.x + NEAR, p.y + NEAR);
        found.sort_unstable();
        let mut best: Option<(f64, u32)> = None;
        for i in found {
            let object = &image.objects[self.dark[i]];
            let distance = boundary_distance(&shape::contours(image, object), p);
            if best.is_none_or(|(b, _)| distance <= b) {
                best = Some((distance, object.line));
            }
        }
        best.map(|(_, line)| Source { file: self.file, line })
    }
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
