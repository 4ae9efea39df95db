//! Slots made of overlapping hits: equal holes of one file, each less than a diameter from the next.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, Hole, HolePlating};

/// Two plated hits that overlap are a slot only from this size on; smaller ones are vias by mistake on one another.
const LEAST_PAIR: Nm = 600_000;

/// Groups of overlapping hits that make a slot.
pub(super) fn chains(board: &Board) -> Vec<Vec<u32>> {
    let groups = near(board, |_| true, |size| size - 1);
    groups.into_iter().filter(|g| is_slot(board, g)).collect()
}

fn is_slot(board: &Board, group: &[u32]) -> bool {
    let holes: Vec<&Hole> = group.iter().map(|i| &board.holes[*i as usize]).collect();
    let Some(size) = holes.first().and_then(|h| h.finished) else { return false };
    let apart = holes.iter().map(|h| holes[0].at().distance(h.at())).fold(0.0, f64::max);
    // Hits on one axis are one hole given twice.
    let spread = apart > size as f64 / 10.0;
    spread && (holes.len() > 2 || holes.len() == 2 && (size >= LEAST_PAIR || holes[0].plating == HolePlating::Unplated))
}

/// Chains as features; the size is the slot's length from wall to wall.
pub(super) fn of(board: &Board, _: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    chains(board).into_iter().filter_map(|group| feature(board, group)).collect()
}

fn feature(board: &Board, group: Vec<u32>) -> Option<Feature> {
    let at = |i: &u32| board.holes[*i as usize].at();
    let (low, high) = (group.iter().map(at).min()?, group.iter().map(at).max()?);
    let size = board.holes[*group.first()? as usize].finished?;
    let middle = Point::new(low.x + (high.x - low.x) / 2, low.y + (high.y - low.y) / 2);
    let mut feature = Feature::new(FeatureKind::SlotChain, None, middle)
        .because(format!("{} equal hits overlap, so that together they are one slot", group.len()));
    feature.size = Some(low.distance(high).round() as Nm + size);
    feature.between = Some((low, high));
    feature.sources = group.iter().map(|i| board.holes[*i as usize].source).collect();
    feature.holes = group;
    Some(feature)
}

/// Holes that hang together: round, wanted, of one file and size, each within `reach` of the next.
pub(super) fn near(board: &Board, wanted: impl Fn(&Hole) -> bool, reach: impl Fn(Nm) -> Nm) -> Vec<Vec<u32>> {
    let mut by_size: BTreeMap<(u32, Nm), Vec<(Point, u32)>> = BTreeMap::new();
    for (number, hole) in (0u32..).zip(&board.holes) {
        let Some(size) = hole.finished.filter(|d| *d > 1 && hole.is_round() && wanted(hole)) else { continue };
        by_size.entry((hole.source.file, size)).or_default().push((hole.at(), number));
    }
    let mut out = Vec::new();
    for ((_, size), holes) in by_size {
        out.extend(hang_together(&holes, reach(size)));
    }
    out
}

pub(super) fn hang_together(holes: &[(Point, u32)], reach: Nm) -> Vec<Vec<u32>> {
    let mut cells: BTreeMap<(Nm, Nm), Vec<usize>> = BTreeMap::new();
    for (i, (at, _)) in holes.iter().enumerate() {
        cells.entry(cell(*at, reach)).or_default().push(i);
    }
    let mut seen = vec![false; holes.len()];
    let walks = (0..holes.len()).map(|start| walk(start, reach, holes, &mut cells, &mut seen));
    let groups = walks.filter(|chain| chain.len() > 1).collect::<Vec<_>>();
    let numbers = |chain: Vec<usize>| {
        let mut numbers: Vec<u32> = chain.into_iter().map(|i| holes[i].1).collect();
        numbers.sort_unstable();
        numbers
    };
    groups.into_iter().map(numbers).collect()
}

const fn cell(p: Point, size: Nm) -> (Nm, Nm) {
    (p.x.div_euclid(size), p.y.div_euclid(size))
}

/// Collects what hangs together with `start`. Holes leave their cell when they are taken, so that the work stays even.
fn walk(
    start: usize,
    reach: Nm,
    holes: &[(Point, u32)],
    cells: &mut BTreeMap<(Nm, Nm), Vec<usize>>,
    seen: &mut [bool],
) -> Vec<usize> {
    if std::mem::replace(&mut seen[start], true) {
        return Vec::new();
    }
    let mut chain = vec![start];
    let mut next = 0;
    while let Some(&i) = chain.get(next) {
        next += 1;
        let at = holes[i].0;
        let (cx, cy) = cell(at, reach);
        for key in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy))) {
            let Some(list) = cells.get_mut(&key) else { continue };
            list.retain(|&j| {
                let close = holes[j].0.distance(at) <= reach as f64;
                if close && !std::mem::replace(&mut seen[j], true) {
                    chain.push(j);
                }
                !close
            });
        }
    }
    chain
}
