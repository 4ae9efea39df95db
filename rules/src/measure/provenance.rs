//! Which line of the data drew the copper at a witness point.

use std::sync::OnceLock;

use landgap_parser::{Image, Point, Polarity};

use crate::board::{Board, Source};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, point_segment};
use crate::geometry::grid::Grid;
use crate::geometry::image::bounds_of;
use crate::geometry::shape;

/// How far a witness point may lie from the boundary of the object that made it.
const NEAR: i64 = 1_500;

/// Pieces of boundary found together.
const RUN: usize = 16;

/// The boundary of a dark object.
enum Boundary {
    /// A round pen drawn along a line, or set down where both ends are one.
    Round(Segment, f64),
    Contours(Vec<Vec<Point>>),
}

/// A dark object, and the line that drew it.
struct Drawn {
    line: u32,
    boundary: Boundary,
}

/// Neighbouring corners of one contour of an object; a round object whole.
#[derive(Clone, Copy)]
struct Run {
    object: u32,
    contour: u32,
    start: u32,
}

/// Finds the objects behind witness points of one artwork file.
pub(crate) struct Provenance {
    file: u32,
    drawn: Vec<Drawn>,
    runs: Grid<Run>,
    /// Boxes of whole objects; made when a point lies near no boundary.
    whole: OnceLock<Grid<u32>>,
}

impl Provenance {
    /// Indexes the dark objects of one file of the board.
    pub fn of(board: &Board, file: u32) -> Self {
        let image = board.images.get(file as usize).and_then(Option::as_ref);
        let drawn: Vec<Drawn> = image.into_iter().flat_map(drawn).collect();
        let runs = (0u32..).zip(&drawn).flat_map(|(number, object)| object.runs(number)).collect::<Vec<_>>();
        Self { file, runs: Grid::new(runs), drawn, whole: OnceLock::new() }
    }

    /// Sources at both ends of a distance, without repeats.
    pub fn both(&self, from: Point, to: Point) -> Vec<Source> {
        let mut out: Vec<Source> = [from, to].iter().filter_map(|p| self.at(*p)).collect();
        out.dedup();
        out
    }

    /// A point in each object that lies wholly in a box.
    pub fn within(&self, box_: &Bounds) -> Vec<Point> {
        let mut found = Vec::new();
        self.whole().each(*box_, |_, object| found.push(object));
        found.sort_unstable();
        let bounds = found.into_iter().map(|i| self.drawn[i as usize].bounds());
        let held = bounds.filter(|b| {
            b.min.x >= box_.min.x && b.min.y >= box_.min.y && b.max.x <= box_.max.x && b.max.y <= box_.max.y
        });
        held.map(|b| Point::new(b.min.x.midpoint(b.max.x), b.min.y.midpoint(b.max.y))).collect()
    }

    fn whole(&self) -> &Grid<u32> {
        self.whole.get_or_init(|| Grid::new(self.drawn.iter().map(Drawn::bounds).zip(0..)))
    }

    /// The line whose object's boundary passes nearest to a point; the later one of equals.
    pub fn at(&self, p: Point) -> Option<Source> {
        let object = self.close(p).or_else(|| self.holding(p))?;
        Some(Source { file: self.file, line: self.drawn[object as usize].line })
    }

    /// The object whose boundary passes nearest, among those that pass near.
    fn close(&self, p: Point) -> Option<u32> {
        let mut best: Option<(f64, u32)> = None;
        self.runs.each(Bounds { min: p, max: p }.grown(NEAR), |_, run| {
            let distance = self.drawn[run.object as usize].distance(run, p);
            let better = best.is_none_or(|(b, object)| distance < b || (distance <= b && run.object > object));
            if distance <= NEAR as f64 && better {
                best = Some((distance, run.object));
            }
        });
        best.map(|(_, object)| object)
    }

    /// Where no boundary passes near: the object whose box holds the point and whose boundary is nearest.
    fn holding(&self, p: Point) -> Option<u32> {
        let mut found = Vec::new();
        self.whole().each(Bounds { min: p, max: p }.grown(NEAR), |_, object| found.push(object));
        found.sort_unstable();
        let mut best: Option<(f64, u32)> = None;
        for object in found {
            let drawn = &self.drawn[object as usize];
            let runs = drawn.runs(object);
            let distance = runs.iter().map(|(_, run)| drawn.distance(*run, p)).fold(f64::INFINITY, f64::min);
            if best.is_none_or(|(b, _)| distance <= b) {
                best = Some((distance, object));
            }
        }
        best.map(|(_, object)| object)
    }
}

impl Drawn {
    fn bounds(&self) -> Bounds {
        match &self.boundary {
            Boundary::Round(line, radius) => Bounds::of(&[line.a, line.b]).grown(radius.ceil() as i64),
            Boundary::Contours(contours) => bounds_of(contours),
        }
    }

    /// The pieces the object is found by, with their boxes.
    fn runs(&self, object: u32) -> Vec<(Bounds, Run)> {
        let Boundary::Contours(contours) = &self.boundary else {
            return vec![(self.bounds(), Run { object, contour: 0, start: 0 })];
        };
        let mut out = Vec::new();
        for (contour, points) in (0u32..).zip(contours) {
            for start in (0..points.len()).step_by(RUN) {
                let mut bounds = Bounds::EMPTY;
                pieces(points, start).for_each(|s| [s.a, s.b].into_iter().for_each(|p| bounds.add(p)));
                out.push((bounds, Run { object, contour, start: start as u32 }));
            }
        }
        out
    }

    /// From a point to the boundary in one run.
    fn distance(&self, run: Run, p: Point) -> f64 {
        let at = (p.x as f64, p.y as f64);
        match &self.boundary {
            Boundary::Round(line, radius) => (point_segment(at, *line).length - radius).abs(),
            Boundary::Contours(contours) => pieces(&contours[run.contour as usize], run.start as usize)
                .map(|s| point_segment(at, s).length)
                .fold(f64::INFINITY, f64::min),
        }
    }
}

/// The straight pieces of a run.
fn pieces(points: &[Point], start: usize) -> impl Iterator<Item = Segment> + use<'_> {
    let end = (start + RUN).min(points.len());
    (start..end).map(|i| Segment { a: points[i], b: points[(i + 1) % points.len()] })
}

fn drawn(image: &Image) -> impl Iterator<Item = Drawn> + '_ {
    let boundary = |object| match shape::round(image, object) {
        Some((a, b, radius)) => Boundary::Round(Segment { a, b }, radius),
        None => Boundary::Contours(shape::contours(image, object)),
    };
    let dark = image.objects.iter().filter(|o| o.polarity == Polarity::Dark);
    dark.map(move |o| Drawn { line: o.line, boundary: boundary(o) }).filter(|d| !d.bounds().is_empty())
}
