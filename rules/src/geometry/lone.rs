//! Objects that meet no other need no union: lands in the clearances of a plane, tracks far from all else.
//!
//! An object whose box no other object's boundary enters lies apart from every other or wholly inside it.

use std::collections::BTreeMap;
use std::ops::ControlFlow;

use landgap_parser::Point;

use super::distance::orientation;
use super::engine::Polygon;
use super::grid::Grid;
use super::layer::Bounds;

/// Pieces of boundary found together.
const RUN: usize = 12;

/// Some corners of one contour of one object.
#[derive(Clone, Copy)]
struct Run {
    object: u32,
    contour: u32,
    start: u32,
}

/// Takes out the simple convex objects that touch no other: the rest, and those among them that lie apart.
/// Those inside others are dropped.
#[must_use]
pub fn apart(objects: Vec<Polygon>) -> (Vec<Polygon>, Vec<Polygon>) {
    let grid = Grid::new(runs(&objects));
    let place = |(number, object): (usize, &Polygon)| match object.as_slice() {
        [contour] if is_convex(contour) => look(&objects, &grid, number as u32, contour),
        _ => Place::Among,
    };
    let places: Vec<Place> = objects.iter().enumerate().map(place).collect();
    let (mut rest, mut alone) = (Vec::new(), Vec::new());
    for (object, place) in objects.into_iter().zip(places) {
        match place {
            Place::Among => rest.push(object),
            Place::Apart => alone.push(object),
            Place::Inside => {}
        }
    }
    (rest, alone)
}

/// Where an object lies as seen from the others.
enum Place {
    Among,
    Apart,
    Inside,
}

fn runs(objects: &[Polygon]) -> Vec<(Bounds, Run)> {
    let mut out = Vec::new();
    for (object, contours) in (0u32..).zip(objects) {
        for (contour, points) in (0u32..).zip(contours) {
            for start in (0..points.len()).step_by(RUN) {
                let mut bounds = Bounds::of(&points[start..(start + RUN).min(points.len())]);
                bounds.add(points[(start + RUN).min(points.len()) % points.len()]);
                out.push((bounds, Run { object, contour, start: start as u32 }));
            }
        }
    }
    out
}

fn look(objects: &[Polygon], grid: &Grid<Run>, number: u32, contour: &[Point]) -> Place {
    let bounds = Bounds::of(contour);
    let stranger = |_: &Bounds, run: Run| {
        if run.object == number { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    };
    if grid.visit(bounds, stranger).is_break() {
        return Place::Among;
    }
    if covered(objects, grid, number, contour[0]) { Place::Inside } else { Place::Apart }
}

/// Whether a point away from every other boundary lies inside another object, by winding.
fn covered(objects: &[Polygon], grid: &Grid<Run>, number: u32, p: Point) -> bool {
    let mut winding: BTreeMap<u32, i32> = BTreeMap::new();
    let ray = Bounds { min: p, max: Point::new(grid.bounds().max.x.max(p.x), p.y) };
    grid.each(ray, |_, run| {
        if run.object == number {
            return;
        }
        let points = &objects[run.object as usize][run.contour as usize];
        let start = run.start as usize;
        for i in start..(start + RUN).min(points.len()) {
            let (a, b) = (points[i], points[(i + 1) % points.len()]);
            let (up, down) = (a.y <= p.y && b.y > p.y, b.y <= p.y && a.y > p.y);
            let left = orientation(a, b, p);
            if (up && left > 0) || (down && left < 0) {
                *winding.entry(run.object).or_default() += if up { 1 } else { -1 };
            }
        }
    });
    winding.values().any(|turns| *turns != 0)
}

/// Whether a contour turns left at every corner, once round.
fn is_convex(contour: &[Point]) -> bool {
    let count = contour.len();
    let at = |i: usize| contour[i % count];
    let turns = (0..count).all(|i| orientation(at(i), at(i + 1), at(i + 2)) > 0);
    let right = |i: usize| (at(i).x, at(i).y) < (at(i + 1).x, at(i + 1).y);
    count > 2 && turns && (0..count).filter(|i| right(*i) != right(i + 1)).count() == 2
}
