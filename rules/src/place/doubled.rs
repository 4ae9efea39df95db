//! Holes of different sizes, or plated and not, on one axis.

use landgap_parser::{Nm, Point};

use super::extent::mm;
use crate::board::{Board, Doubt, Hole, HolePlating};

/// Axes this near each other are one.
const ONE_AXIS: Nm = 20_000;

/// One doubt for each pair of sizes, with every place.
pub(super) fn check(board: &mut Board) {
    let mut order: Vec<u32> = (0u32..).zip(&board.holes).filter(|(_, h)| h.is_round()).map(|(i, _)| i).collect();
    order.sort_by_key(|i| (board.holes[*i as usize].at(), *i));
    let mut found: Vec<(Kind, u32, u32)> = Vec::new();
    for (position, &i) in order.iter().enumerate() {
        let a = &board.holes[i as usize];
        let reach = |j: &&u32| board.holes[**j as usize].at().x - a.at().x <= ONE_AXIS;
        for &j in order[position + 1..].iter().take_while(reach).take(MOST_NEIGHBOURS) {
            let b = &board.holes[j as usize];
            let shared = a.span.0 <= b.span.1 && b.span.0 <= a.span.1 && is_whole(board, a) == is_whole(board, b);
            if shared && a.at().distance(b.at()) <= ONE_AXIS as f64 {
                found.extend(kind(a, b).map(|kind| (kind, i, j)));
            }
        }
    }
    found.sort_unstable();
    let doubts: Vec<Doubt> = found.chunk_by(|p, q| p.0 == q.0).map(|same| doubt(board, same)).collect();
    board.doubts.extend(doubts);
}

/// Holes looked at beside each other where very many share one line.
const MOST_NEIGHBOURS: usize = 1_000;

/// Blind and buried holes on one axis are steps of one build, and a hole from one side may widen another.
fn is_whole(board: &Board, hole: &Hole) -> bool {
    hole.span == (1, board.copper.len().max(1) as u32)
}

/// Lesser and greater size; equal where only the plating differs.
type Kind = (Nm, Nm);

fn kind(a: &Hole, b: &Hole) -> Option<Kind> {
    let (size, other) = (a.finished?, b.finished?);
    let against = matches!(
        (a.plating, b.plating),
        (HolePlating::Plated, HolePlating::Unplated) | (HolePlating::Unplated, HolePlating::Plated)
    );
    (size != other || against).then(|| (size.min(other), size.max(other)))
}

fn doubt(board: &Board, same: &[(Kind, u32, u32)]) -> Doubt {
    let (small, large) = same[0].0;
    let hole = |i: u32| &board.holes[i as usize];
    let places: Vec<Point> = same.iter().map(|(_, i, _)| hole(*i).at()).collect();
    let at = format!("x {} y {} mm", mm(places[0].x), mm(places[0].y));
    let (seen, readings) = if small == large {
        (
            format!(
                "at {} place(s) one hole of {} mm is given as plated and as non-plated, the first at {at}",
                same.len(),
                mm(small)
            ),
            vec!["these holes are plated".to_owned(), "these holes are not plated".to_owned()],
        )
    } else {
        (
            format!(
                "at {} place(s) holes of {} mm and {} mm stand on one axis, the first at {at}",
                same.len(),
                mm(small),
                mm(large)
            ),
            vec![
                format!("the hole of {} mm is drilled", mm(large)),
                format!("the hole of {} mm is drilled", mm(small)),
                "both are meant, as a stepped or back-drilled hole, to be explained".to_owned(),
            ],
        )
    };
    Doubt {
        rule: "doubled-hole",
        seen,
        reasons: vec![format!(
            "their axes lie within {} mm of each other, and they pass the same layers",
            mm(ONE_AXIS)
        )],
        sources: same.iter().take(10).flat_map(|(_, i, j)| [hole(*i).source, hole(*j).source]).collect(),
        places,
        readings,
    }
}
