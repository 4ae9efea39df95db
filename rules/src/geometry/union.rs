//! The union of a layer's objects, in rounds over neighbours.
//!
//! Objects that touch no other are set aside first. One sweep over the rest is quickest, except
//! where many overlap: it cuts every stroke by every stroke it overlaps before it knows that most lie
//! inside others, and a hatched area costs the square of its density. So a few groups of neighbours
//! are tried; where they shed corners, objects that lie close together are joined in small groups, the
//! results grouped and joined again as long as that pays, and one last sweep joins the pieces that
//! still meet. Groups are independent and run on all threads; their order depends on places only.

use std::ops::ControlFlow;

use super::engine::{self, Polygon};
use super::grid::Grid;
use super::image::bounds_of;
use super::layer::Bounds;
use super::lone;
use crate::measure::in_parallel;
use landgap_parser::Point;

/// Objects joined in one go.
const GROUP: usize = 96;

/// Groups joined to see whether it pays.
const TRIED: usize = 12;

/// A round that leaves more than this share of the corners was not worth another.
const WORTH: f64 = 0.7;

/// A gap inside an island narrower than this is left by rounding corners to the nanometre.
const CRACK: f64 = 3.0;

/// The union of objects, each with its outer contours counter-clockwise and its holes clockwise.
#[must_use]
pub fn union(mut objects: Vec<Polygon>) -> Vec<Polygon> {
    objects.retain(|o| !o.is_empty());
    objects.sort_unstable();
    objects.dedup();
    let (mut objects, alone) = lone::apart(objects);
    while objects.len() > GROUP {
        let groups = grouped(objects);
        if !pays(&groups) {
            objects = groups.into_iter().flatten().collect();
            break;
        }
        let before: usize = groups.iter().map(|g| corners(g)).sum();
        objects = in_parallel(&groups, |group| engine::union(&flat(group))).into_iter().flatten().collect();
        if corners(&objects) as f64 > before as f64 * WORTH {
            break;
        }
    }
    let mut joined = last(objects);
    joined.iter_mut().for_each(close_cracks);
    joined.extend(alone);
    joined
}

/// Whether joining groups sheds corners, by a few groups spread over the layer.
fn pays(groups: &[Vec<Polygon>]) -> bool {
    let some: Vec<&Vec<Polygon>> = groups.iter().step_by(groups.len().div_ceil(TRIED)).collect();
    let before: usize = some.iter().map(|g| corners(g)).sum();
    let after: usize = in_parallel(&some, |g| corners(&engine::union(&flat(g)))).into_iter().sum();
    after as f64 <= before as f64 * WORTH
}

fn corners(objects: &[Polygon]) -> usize {
    objects.iter().flatten().map(Vec::len).sum()
}

/// Groups of neighbours.
fn grouped(objects: Vec<Polygon>) -> Vec<Vec<Polygon>> {
    let mut placed: Vec<(Point, Polygon)> = objects.into_iter().map(|o| (centre(&bounds_of(&o)), o)).collect();
    let mut groups = Vec::new();
    split(&mut placed, &mut groups);
    groups
}

/// Twice the middle of a box.
const fn centre(b: &Bounds) -> Point {
    Point::new(b.min.x + b.max.x, b.min.y + b.max.y)
}

fn flat(objects: &[Polygon]) -> Vec<Vec<Point>> {
    objects.iter().flatten().cloned().collect()
}

/// Halves by place, across the longer side, down to one group.
fn split(placed: &mut [(Point, Polygon)], groups: &mut Vec<Vec<Polygon>>) {
    if placed.len() <= GROUP {
        groups.push(placed.iter_mut().map(|(_, o)| std::mem::take(o)).collect());
        return;
    }
    let mut extent = Bounds::EMPTY;
    placed.iter().for_each(|(at, _)| extent.add(*at));
    let wide = extent.width() >= extent.height();
    let middle = placed.len() / 2;
    placed.select_nth_unstable_by(middle, |(p, a), (q, b)| {
        let (p, q) = if wide { ((p.x, p.y), (q.x, q.y)) } else { ((p.y, p.x), (q.y, q.x)) };
        p.cmp(&q).then_with(|| a.cmp(b))
    });
    let (low, high) = placed.split_at_mut(middle);
    split(low, groups);
    split(high, groups);
}

/// Joins what still meets; a single polygon whose box meets no other is final.
fn last(objects: Vec<Polygon>) -> Vec<Polygon> {
    let boxes: Vec<Bounds> = objects.iter().map(|o| bounds_of(o)).collect();
    let index = Grid::new(boxes.iter().copied().zip(0..));
    let alone = |i: usize| {
        let other = |_: &Bounds, j: usize| if j == i { ControlFlow::Continue(()) } else { ControlFlow::Break(()) };
        index.visit(boxes[i], other).is_continue()
    };
    let (mut done, mut rest) = (Vec::new(), Vec::new());
    for (i, object) in objects.into_iter().enumerate() {
        if alone(i) { done.extend(engine::union(&object)) } else { rest.extend(object) }
    }
    done.extend(engine::union(&rest));
    done
}

/// Drops holes that only rounding made.
fn close_cracks(polygon: &mut Polygon) {
    let mut number = 0;
    polygon.retain(|contour| {
        number += 1;
        number == 1 || !is_crack(contour)
    });
}

fn is_crack(contour: &[Point]) -> bool {
    let around: f64 = contour.iter().zip(contour.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum();
    (engine::doubled_area(contour).abs() as f64) < CRACK * around
}
