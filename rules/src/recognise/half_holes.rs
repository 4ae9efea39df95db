//! Rows of half-holes: plated holes that the board's edge cuts, with lands on both outer layers.

use landgap_parser::Nm;

use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, Function, HoleKind, Reason};

/// Half-holes of one row lie at most so many diameters from the next.
const PITCH: Nm = 4;

/// Rows, and single ones. The size is the least wall between two neighbours, finished; settled where the data name them.
pub(super) fn of(board: &Board, _: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let half = |h: &crate::board::Hole| h.kind == HoleKind::HalfHole;
    let mut groups = super::slot_chain::near(board, half, |size| size * PITCH);
    let in_row: std::collections::BTreeSet<u32> = groups.iter().flatten().copied().collect();
    let single = (0u32..).zip(&board.holes).filter(|(i, h)| half(h) && !in_row.contains(i));
    groups.extend(single.map(|(i, _)| vec![i]));
    groups.into_iter().filter_map(|group| feature(board, group)).collect()
}

fn feature(board: &Board, group: Vec<u32>) -> Option<Feature> {
    let hole = |i: &u32| &board.holes[*i as usize];
    let first = hole(group.first()?);
    let named = |i: &u32| hole(i).reasons.contains(&Reason::Tool(Function::Castellated));
    let mut feature = Feature::new(FeatureKind::HalfHoleRow, None, first.at());
    let settled = group.iter().all(named);
    feature.settled = settled;
    feature = feature.because(if settled {
        "the data name these holes as half-holes"
    } else if group.len() > 1 {
        "the board's edge cuts them, they have lands on both outer layers, and they stand in a row"
    } else {
        "the board's edge cuts it and it has lands on both outer layers"
    });
    feature.size = least_wall(board, &group);
    feature.sources = group.iter().map(|i| hole(i).source).collect();
    feature.holes = group;
    Some(feature)
}

/// Least wall between neighbours; rows are short or sorted, so that only near ones in order of place are tried.
fn least_wall(board: &Board, group: &[u32]) -> Option<Nm> {
    let mut at: Vec<_> = group.iter().map(|i| &board.holes[*i as usize]).collect();
    at.sort_by_key(|h| h.at());
    let wall = |pair: &[&crate::board::Hole]| {
        let sizes = pair[0].finished.unwrap_or(0) + pair[1].finished.unwrap_or(0);
        pair[0].at().distance(pair[1].at()).round() as Nm - sizes / 2
    };
    at.windows(2).map(wall).min()
}
