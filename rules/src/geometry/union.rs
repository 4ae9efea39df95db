//! The union of a layer's objects, in rounds over neighbours.
//!
//! One sweep over a whole layer cuts every stroke by every stroke it overlaps before it knows that
//! most of them lie inside others; a hatched area costs the square of its density. Here objects that
//! lie close together are joined in small groups, the results grouped and joined again as long as
//! that sheds corners, and one last sweep joins the pieces that still meet. Groups are independent
//! and run on all threads; their order depends on places only.

use landgap_parser::Point;
use static_aabb2d_index::{Control, StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::engine::{self, Polygon};
use super::image::bounds_of;
use super::layer::Bounds;
use crate::measure::in_parallel;

/// Objects joined in one go.
const GROUP: usize = 96;

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
    while objects.len() > GROUP {
        let before = corners(&objects);
        objects = round(objects);
        if corners(&objects) as f64 > before as f64 * WORTH {
            break;
        }
    }
    let mut joined = last(objects);
    joined.iter_mut().for_each(close_cracks);
    joined
}

fn corners(objects: &[Polygon]) -> usize {
    objects.iter().flatten().map(Vec::len).sum()
}

/// Joins each group of neighbours.
fn round(objects: Vec<Polygon>) -> Vec<Polygon> {
    let mut placed: Vec<(Point, Polygon)> = objects.into_iter().map(|o| (centre(&bounds_of(&o)), o)).collect();
    let mut groups = Vec::new();
    split(&mut placed, &mut groups);
    in_parallel(&groups, |group| engine::union(&flat(group))).into_iter().flatten().collect()
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
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    boxes.iter().for_each(|b| _ = builder.add(b.min.x, b.min.y, b.max.x, b.max.y));
    let index = if boxes.is_empty() { None } else { builder.build().ok() };
    let alone = |i: usize| index.as_ref().is_some_and(|index| meets_none(index, &boxes, i));
    let (mut done, mut rest) = (Vec::new(), Vec::new());
    for (i, object) in objects.into_iter().enumerate() {
        if alone(i) { done.extend(engine::union(&object)) } else { rest.extend(object) }
    }
    done.extend(engine::union(&rest));
    done
}

fn meets_none(index: &StaticAABB2DIndex<i64>, boxes: &[Bounds], i: usize) -> bool {
    let b = &boxes[i];
    let mut none = true;
    index.visit_query(b.min.x, b.min.y, b.max.x, b.max.y, &mut |j: usize| {
        none &= j == i;
        if none { Control::<()>::Continue } else { Control::Break(()) }
    });
    none
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
