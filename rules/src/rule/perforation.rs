//! Break-off perforations: rows of small equal non-plated holes meant to be close to each other and to the edge.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::Nm;
use landgap_parser::drill::HitShape;

use crate::board::{Board, HolePlating};

const LARGEST: Nm = 1_000_000;
const FEWEST: usize = 3;

/// Numbers of the holes that belong to a perforation: at least three equal non-plated holes up to 1 mm,
/// each no further than two and a half diameters from the next.
pub(crate) fn holes(board: &Board) -> BTreeSet<u32> {
    let mut by_size: BTreeMap<Nm, Vec<(Nm, Nm, u32)>> = BTreeMap::new();
    for (number, hole) in (0u32..).zip(&board.holes) {
        let (HitShape::Hole { at }, Some(size)) = (&hole.shape, hole.finished) else { continue };
        if hole.plating == HolePlating::Unplated && (1..=LARGEST).contains(&size) {
            by_size.entry(size).or_default().push((at.x, at.y, number));
        }
    }
    by_size.iter().flat_map(|(size, holes)| chains(*size, holes)).collect()
}

fn chains(size: Nm, holes: &[(Nm, Nm, u32)]) -> BTreeSet<u32> {
    let reach = size * 5 / 2;
    let mut cells: BTreeMap<(Nm, Nm), Vec<usize>> = BTreeMap::new();
    for (i, (x, y, _)) in holes.iter().enumerate() {
        cells.entry((x.div_euclid(reach), y.div_euclid(reach))).or_default().push(i);
    }
    let mut found = BTreeSet::new();
    let mut seen = vec![false; holes.len()];
    for start in 0..holes.len() {
        let chain = walk(start, reach, holes, &mut cells, &mut seen);
        if chain.len() >= FEWEST {
            found.extend(chain.into_iter().map(|i| holes[i].2));
        }
    }
    found
}

/// Collects what hangs together with `start`. Holes leave their cell when they are taken, so that the work stays even.
fn walk(
    start: usize,
    reach: Nm,
    holes: &[(Nm, Nm, u32)],
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
        let (x, y, _) = holes[i];
        let (cx, cy) = (x.div_euclid(reach), y.div_euclid(reach));
        for cell in (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (cx + dx, cy + dy))) {
            let Some(list) = cells.get_mut(&cell) else { continue };
            list.retain(|&j| {
                let near = (holes[j].0 - x).pow(2) + (holes[j].1 - y).pow(2) <= reach.pow(2);
                if near && !std::mem::replace(&mut seen[j], true) {
                    chain.push(j);
                }
                !near
            });
        }
    }
    chain
}
