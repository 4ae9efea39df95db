//! Holes added, removed, moved, resized and replated.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::{Asked, SAME_PLACE, moved};
use crate::board::{Hole, HolePlating};

/// How a hole changed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HoleChanged {
    /// It is new.
    Added,
    /// It is gone.
    Removed,
    /// It lies elsewhere: from there.
    Moved(Point),
    /// Its size was this.
    Resized(Option<Nm>),
    /// Its plating was this.
    Replated(HolePlating),
    /// It is longer, shorter or bent otherwise.
    Reshaped,
    /// It passed other layers.
    Respanned((u32, u32)),
}

/// A hole that changed.
#[derive(Clone, Debug)]
pub struct HoleChange {
    /// How.
    pub changed: HoleChanged,
    /// Where, in the new data's coordinates.
    pub at: Point,
    /// Its size, or what it was where it is gone.
    pub finished: Option<Nm>,
    /// Its plating, or what it was where it is gone.
    pub plating: HolePlating,
    /// Whether it lies near a place that was asked about.
    pub asked: bool,
}

/// A hole that moved farther than this is one removed and one added.
const FARTHEST: Nm = 1_000_000;

/// Movements and sizes within this and the steps of both files are rounding.
const ROUNDING: Nm = 1_000;

pub(super) fn changes(old: &[Hole], new: &[Hole], by: Point, asked: &Asked) -> Vec<HoleChange> {
    let index = index(new);
    let mut taken = vec![false; new.len()];
    let mut lost: Vec<usize> = Vec::new();
    let mut out = Vec::new();
    for (i, hole) in old.iter().enumerate() {
        match nearest(hole, new, index.as_ref(), by, SAME_PLACE, &taken, false) {
            Some(j) => {
                taken[j] = true;
                out.extend(differences(hole, &new[j], by));
            }
            None => lost.push(i),
        }
    }
    for i in lost {
        let hole = &old[i];
        match nearest(hole, new, index.as_ref(), by, FARTHEST, &taken, true) {
            Some(j) => {
                taken[j] = true;
                out.push(change(HoleChanged::Moved(moved(hole.at(), by)), &new[j]));
            }
            None => out.push(HoleChange { at: moved(hole.at(), by), ..change(HoleChanged::Removed, hole) }),
        }
    }
    out.extend(new.iter().zip(&taken).filter(|(_, taken)| !**taken).map(|(h, _)| change(HoleChanged::Added, h)));
    out.iter_mut().for_each(|c| c.asked = asked.near(c.at));
    out.sort_by_key(|c| (c.asked, c.at));
    out
}

fn change(changed: HoleChanged, hole: &Hole) -> HoleChange {
    HoleChange { changed, at: hole.at(), finished: hole.finished, plating: hole.plating, asked: false }
}

fn index(holes: &[Hole]) -> Option<StaticAABB2DIndex<i64>> {
    let mut builder = StaticAABB2DIndexBuilder::new(holes.len());
    holes.iter().map(Hole::at).for_each(|p| _ = builder.add(p.x, p.y, p.x, p.y));
    if holes.is_empty() { None } else { builder.build().ok() }
}

/// The free hole nearest to where `hole` was; of equally near ones that which is most alike.
fn nearest(
    hole: &Hole,
    new: &[Hole],
    index: Option<&StaticAABB2DIndex<i64>>,
    by: Point,
    within: Nm,
    taken: &[bool],
    alike: bool,
) -> Option<usize> {
    let at = moved(hole.at(), by);
    let found = index?.query(at.x - within, at.y - within, at.x + within, at.y + within);
    let same = |h: &Hole| h.finished == hole.finished && h.plating == hole.plating;
    let free = found.into_iter().filter(|j| !taken[*j] && (!alike || same(&new[*j])));
    free.min_by_key(|j| {
        let h = &new[*j];
        let apart = h.at().distance(at).round() as i64;
        (apart > ROUNDING, !same(h), apart, *j)
    })
}

fn differences(old: &Hole, new: &Hole, by: Point) -> Vec<HoleChange> {
    let mut out = Vec::new();
    let rounding = (ROUNDING + old.step + new.step) as f64;
    let (a, b) = (way(old, by), way(new, Point::new(0, 0)));
    let apart = |p: &Point, q: &Point| p.distance(*q) > rounding;
    if apart(&a[0], &b[0]) {
        out.push(change(HoleChanged::Moved(a[0]), new));
    } else if a.len() != b.len() || a.iter().zip(&b).any(|(p, q)| apart(p, q)) {
        out.push(change(HoleChanged::Reshaped, new));
    }
    let resized = match (old.finished, new.finished) {
        (Some(a), Some(b)) => (a - b).abs() > ROUNDING,
        (a, b) => a != b,
    };
    if resized {
        out.push(change(HoleChanged::Resized(old.finished), new));
    }
    if old.plating != new.plating {
        out.push(change(HoleChanged::Replated(old.plating), new));
    }
    if old.span != new.span {
        out.push(change(HoleChanged::Respanned(old.span), new));
    }
    out
}

/// The points a hole's axis runs through.
fn way(hole: &Hole, by: Point) -> Vec<Point> {
    let points = match &hole.shape {
        HitShape::Hole { at } => vec![*at],
        HitShape::Slot { from, to } => vec![*from, *to],
        HitShape::Route { start, edges } => std::iter::once(*start).chain(edges.iter().map(|e| e.to())).collect(),
    };
    points.into_iter().map(|p| moved(p, by)).collect()
}
