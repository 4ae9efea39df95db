//! Which line of the data drew the copper at a witness point.

use landgap_parser::{Image, Point, Polarity};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use crate::board::{Board, Source};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, point_segment};
use crate::geometry::image::bounds_of;
use crate::geometry::shape;

/// How far a witness point may lie from the boundary of the object that made it.
const NEAR: i64 = 1_500;

/// Pieces of boundary found together.
const RUN: usize = 16;

/// Neighbouring corners of one contour of a dark object.
struct Run {
    object: usize,
    contour: usize,
    start: usize,
}

/// Finds the objects behind witness points of one artwork file.
pub(crate) struct Provenance {
    file: u32,
    /// Line and contours of every dark object.
    dark: Vec<(u32, Vec<Vec<Point>>)>,
    index: Option<StaticAABB2DIndex<i64>>,
    runs: Vec<Run>,
    run_index: Option<StaticAABB2DIndex<i64>>,
}

impl Provenance {
    /// Indexes the dark objects of one file of the board.
    pub fn of(board: &Board, file: u32) -> Self {
        let image = board.images.get(file as usize).and_then(Option::as_ref);
        let dark: Vec<_> = image.into_iter().flat_map(drawn).collect();
        let index = indexed(dark.iter().map(|(_, contours)| bounds_of(contours)));
        let mut runs = Vec::new();
        for (object, (_, contours)) in dark.iter().enumerate() {
            for (contour, points) in contours.iter().enumerate() {
                runs.extend((0..points.len()).step_by(RUN).map(|start| Run { object, contour, start }));
            }
        }
        let bounds = |run: &Run| {
            let mut bounds = Bounds::EMPTY;
            pieces(&dark, run).for_each(|s| [s.a, s.b].into_iter().for_each(|p| bounds.add(p)));
            bounds
        };
        let run_index = indexed(runs.iter().map(bounds));
        Self { file, dark, index, runs, run_index }
    }

    /// Sources at both ends of a distance, without repeats.
    pub fn both(&self, from: Point, to: Point) -> Vec<Source> {
        let mut out: Vec<Source> = [from, to].iter().filter_map(|p| self.at(*p)).collect();
        out.dedup();
        out
    }

    /// A point in each object that lies wholly in a box.
    pub fn within(&self, box_: &Bounds) -> Vec<Point> {
        let Some(index) = &self.index else { return Vec::new() };
        let mut found = index.query(box_.min.x, box_.min.y, box_.max.x, box_.max.y);
        found.sort_unstable();
        let bounds = found.into_iter().map(|i| bounds_of(&self.dark[i].1));
        let held = bounds.filter(|b| {
            b.min.x >= box_.min.x && b.min.y >= box_.min.y && b.max.x <= box_.max.x && b.max.y <= box_.max.y
        });
        held.map(|b| Point::new(b.min.x.midpoint(b.max.x), b.min.y.midpoint(b.max.y))).collect()
    }

    /// The line whose object's boundary passes nearest to a point; the later one of equals.
    pub fn at(&self, p: Point) -> Option<Source> {
        let object = self.close(p).or_else(|| self.holding(p))?;
        Some(Source { file: self.file, line: self.dark[object].0 })
    }

    /// The object whose boundary passes nearest, among those that pass near.
    fn close(&self, p: Point) -> Option<usize> {
        let at = (p.x as f64, p.y as f64);
        let mut best: Option<(f64, usize)> = None;
        let mut look = |i: usize| {
            let run = &self.runs[i];
            let distance = pieces(&self.dark, run).map(|s| point_segment(at, s).length).fold(f64::INFINITY, f64::min);
            let better = best.is_none_or(|(b, object)| distance < b || (distance <= b && run.object > object));
            if distance <= NEAR as f64 && better {
                best = Some((distance, run.object));
            }
        };
        let index = self.run_index.as_ref()?;
        index.visit_query(p.x - NEAR, p.y - NEAR, p.x + NEAR, p.y + NEAR, &mut look);
        best.map(|(_, object)| object)
    }

    /// Where no boundary passes near: the object whose box holds the point and whose boundary is nearest.
    fn holding(&self, p: Point) -> Option<usize> {
        let mut found = self.index.as_ref()?.query(p.x - NEAR, p.y - NEAR, p.x + NEAR, p.y + NEAR);
        found.sort_unstable();
        let mut best: Option<(f64, usize)> = None;
        for i in found {
            let distance = boundary_distance(&self.dark[i].1, p);
            if best.is_none_or(|(b, _)| distance <= b) {
                best = Some((distance, i));
            }
        }
        best.map(|(_, object)| object)
    }
}

/// The straight pieces of a run.
fn pieces<'a>(dark: &'a [(u32, Vec<Vec<Point>>)], run: &Run) -> impl Iterator<Item = Segment> + use<'a> {
    let points = &dark[run.object].1[run.contour];
    let end = (run.start + RUN).min(points.len());
    (run.start..end).map(|i| Segment { a: points[i], b: points[(i + 1) % points.len()] })
}

fn indexed(boxes: impl ExactSizeIterator<Item = Bounds>) -> Option<StaticAABB2DIndex<i64>> {
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    if boxes.len() == 0 {
        return None;
    }
    boxes.for_each(|b| _ = builder.add(b.min.x, b.min.y, b.max.x, b.max.y));
    builder.build().ok()
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
