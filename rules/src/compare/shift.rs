//! The shift that lays the old set over the new one.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Nm, Point, Polarity, Shape};

use super::moved;
use crate::check::Measured;
use crate::geometry::Bounds;

/// How the old set was laid over the new one.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Shift {
    /// What is added to the old set's coordinates.
    pub by: Point,
    /// Marks of the old set that meet one of the new set.
    pub met: u32,
    /// Marks of the old set.
    pub of: u32,
}

/// Points are held against each other on a grid this wide, so that rounding on export does not part them.
const GRID: Nm = 5_000;

/// Shifts tried at most.
const TRIED: usize = 64;

/// Marks that vote for a shift at most.
const VOTING: usize = 60;

/// A mark: what it is, and where.
type Mark = (u64, Point);

pub(super) fn find(old: &Measured, new: &Measured) -> Shift {
    let (olds, news) = (marks(old), marks(new));
    let mut best = Shift { by: Point::new(0, 0), met: 0, of: olds.len() as u32 };
    let there: BTreeSet<(u64, i64, i64)> = news.iter().map(|(kind, p)| cell(*kind, *p)).collect();
    for by in candidates(old, new, &olds, &news) {
        let met = olds.iter().filter(|(kind, p)| meets(&there, *kind, moved(*p, by))).count() as u32;
        let (far, nearest) = (length(by), length(best.by));
        if met > best.met || (met == best.met && far < nearest) {
            best = Shift { by, met, ..best };
        }
    }
    best
}

const fn length(p: Point) -> i64 {
    p.x.abs() + p.y.abs()
}

const fn cell(kind: u64, p: Point) -> (u64, i64, i64) {
    (kind, p.x.div_euclid(GRID), p.y.div_euclid(GRID))
}

fn meets(there: &BTreeSet<(u64, i64, i64)>, kind: u64, p: Point) -> bool {
    let (_, x, y) = cell(kind, p);
    (-1..=1).any(|dx| (-1..=1).any(|dy| there.contains(&(kind, x + dx, y + dy))))
}

/// Holes by size, flashed lands by layer.
fn marks(set: &Measured) -> Vec<Mark> {
    let size = |nm: Option<Nm>| nm.unwrap_or(0).unsigned_abs() / 10_000;
    let mut all: Vec<Mark> = set.board.holes.iter().map(|h| (size(h.finished), h.at())).collect();
    for layer in &set.board.copper {
        let Some(Some(image)) = set.board.images.get(layer.file as usize) else { continue };
        let kind = 1_000_000 + u64::from(layer.number == 1);
        all.extend(image.objects.iter().filter(|o| o.polarity == Polarity::Dark).filter_map(|o| match o.shape {
            Shape::Flash { at, .. } => Some((kind, at)),
            _ => None,
        }));
    }
    all
}

/// Shifts worth trying: none, corner on corner, and those that marks of rare kinds vote for.
fn candidates(old: &Measured, new: &Measured, olds: &[Mark], news: &[Mark]) -> Vec<Point> {
    let mut out = vec![Point::new(0, 0)];
    let boxes =
        |set: &Measured| [set.geometry.outline.concat(), set.geometry.copper.iter().flat_map(corners).collect()];
    for (a, b) in boxes(old).iter().zip(&boxes(new)) {
        let (a, b) = (Bounds::of(a), Bounds::of(b));
        if !a.is_empty() && !b.is_empty() {
            out.extend([apart(a.min, b.min), apart(a.max, b.max)]);
        }
    }
    let mut by_kind: BTreeMap<u64, (Vec<Point>, Vec<Point>)> = BTreeMap::new();
    olds.iter().for_each(|(k, p)| by_kind.entry(*k).or_default().0.push(*p));
    news.iter().for_each(|(k, p)| by_kind.entry(*k).or_default().1.push(*p));
    let mut kinds: Vec<(Vec<Point>, Vec<Point>)> =
        by_kind.into_values().filter(|(a, b)| !a.is_empty() && !b.is_empty()).collect();
    kinds.sort_by_key(|(a, b)| a.len().max(b.len()));
    let mut votes: BTreeMap<(i64, i64), (u32, Point)> = BTreeMap::new();
    for (a, b) in kinds.iter().take(8) {
        for p in a.iter().take(VOTING) {
            for q in b.iter().take(VOTING) {
                let by = apart(*p, *q);
                votes.entry((by.x.div_euclid(GRID), by.y.div_euclid(GRID))).or_insert((0, by)).0 += 1;
            }
        }
    }
    let mut voted: Vec<(u32, Point)> = votes.into_values().collect();
    voted.sort_by_key(|(n, by)| (std::cmp::Reverse(*n), length(*by), *by));
    out.extend(voted.into_iter().take(TRIED).map(|(_, by)| by));
    out
}

fn corners(layer: &crate::geometry::LayerImage) -> Vec<Point> {
    layer.islands.iter().flat_map(|i| [i.bounds.min, i.bounds.max]).collect()
}

const fn apart(from: Point, to: Point) -> Point {
    Point::new(to.x - from.x, to.y - from.y)
}
