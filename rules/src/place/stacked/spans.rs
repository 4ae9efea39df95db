//! Holes that end inside the board: they need lands on the layers where they end.

use landgap_parser::Point;

use super::Testimony;
use crate::board::{Board, HolePlating, Side};
use crate::place::lands::{Lands, sample};
use crate::place::register;

/// Fewest holes of one span that say anything.
const FEW: usize = 4;
/// Share of the holes that must have a land on the layer they end at instead.
const MOST: f64 = 0.9;
/// Share below which the layer they are said to end at does not fit.
const HARDLY: f64 = 0.5;
/// Holes looked at for one span.
const SAMPLE: usize = 2_000;

/// For each span, the layer at its end where its holes have no lands, and the inner layer where they have.
pub(super) fn hear(board: &Board) -> Vec<Testimony> {
    let last = board.copper.len() as u32;
    let mut spans: Vec<(u32, u32)> = board.holes.iter().map(|h| h.span).filter(|s| *s != (1, last)).collect();
    spans.sort_unstable();
    spans.dedup();
    if spans.is_empty() {
        return Vec::new();
    }
    let image = |file: u32| board.images.get(file as usize).and_then(Option::as_ref);
    let lands: Vec<Lands> = board.copper.iter().map(|c| Lands::of(image(c.file))).collect();
    spans.into_iter().filter_map(|span| of_span(board, span, &lands)).collect()
}

fn of_span(board: &Board, span: (u32, u32), lands: &[Lands]) -> Option<Testimony> {
    let own = board.holes.iter().filter(|h| h.span == span && h.plating != HolePlating::Unplated);
    let axes: Vec<Point> = own.map(|h| register::land_of(&h.shape)).collect();
    if axes.len() < FEW {
        return None;
    }
    let axes = sample(&axes, SAMPLE);
    let share = |number: u32| lands.get(number as usize - 1).map_or(0.0, |l| l.share(&axes));
    let inner = |number: u32| board.copper.iter().any(|c| c.number == number && c.side == Side::Inner);
    for end in [span.1, span.0].into_iter().filter(|n| inner(*n) && share(*n) < HARDLY) {
        let others = board.copper.iter().map(|c| c.number).filter(|n| inner(*n) && !(span.0..=span.1).contains(n));
        let Some(better) = others.max_by(|a, b| share(*a).total_cmp(&share(*b))).filter(|n| share(*n) >= MOST) else {
            continue;
        };
        let (from, to) = (&board.copper[better as usize - 1], &board.copper[end as usize - 1]);
        let path = |file: u32| &board.files[file as usize].path;
        let why = |number: u32, file: u32| {
            let share = share(number) * 100.0;
            format!(
                "{share:.0} % of {} holes from copper {} to {} have a land on {}",
                axes.len(),
                span.0,
                span.1,
                path(file)
            )
        };
        let number = |file: u32, place: u32| board.files[file as usize].layer.unwrap_or(place);
        return Some(Testimony {
            witness: format!("the holes from copper {} to {}", span.0, span.1),
            places: vec![
                (from.file, number(to.file, end), why(better, from.file)),
                (to.file, number(from.file, better), why(end, to.file)),
            ],
        });
    }
    None
}
