//! Numerals drawn in the copper: each layer carries its own, all at one place or stepped in a row, so
//! that the order can be read off the finished board (common practice, no source).

use std::sync::Arc;

use landgap_parser::{Nm, Point};

use super::Testimony;
use crate::board::{Board, Side};
use crate::measure::in_parallel;
use crate::place::digits::{self, Numeral};
use crate::place::extent;
use crate::place::mirror;
use crate::place::raster::{Grid, Raster};

/// Layers with more objects than this are not searched for numerals.
const MANY: usize = 400_000;
/// Numerals looked at on one layer, the clearest first.
const MOST: usize = 300;
/// How far a numeral may stand off its place in the row, in heights.
const OFF: f64 = 0.25;
/// How far apart the numerals of neighbouring layers stand in a row, in heights.
const STEP: std::ops::RangeInclusive<f64> = 0.5..=6.0;

/// The places the numerals give the inner layers, where every inner layer has one of one row.
pub(super) fn hear(board: &Board) -> Option<Testimony> {
    let inner = board.copper.iter().filter(|c| c.side == Side::Inner).count();
    let drawn = board.copper.iter().filter_map(|c| board.images[c.file as usize].as_ref());
    if inner < 2 || drawn.map(|i| i.objects.len()).max().unwrap_or(0) > MANY {
        return None;
    }
    let grid = Arc::new(Grid::over(mirror::copper_box(board)?.grown(1_000_000)));
    let found: Vec<Vec<Numeral>> = in_parallel(&board.copper, |layer| {
        let image = board.images[layer.file as usize].as_ref();
        image.map_or_else(Vec::new, |image| digits::of(&Raster::of(image, &grid), MOST))
    });
    let row = rows(board, &found).max_by_key(|row| row.iter().flatten().count())?;
    testimony(board, &row)
}

/// One numeral a layer, or none, beside the copper layers.
type Row = Vec<Option<Numeral>>;

/// Every row that two numerals of the first two inner layers begin and all inner layers take part in.
fn rows<'a>(board: &'a Board, found: &'a [Vec<Numeral>]) -> impl Iterator<Item = Row> + 'a {
    let inner: Vec<usize> = (0..board.copper.len()).filter(|i| board.copper[*i].side == Side::Inner).collect();
    let (first, second) = (inner[0], inner[1]);
    let pairs = found[first].iter().flat_map(move |a| found[second].iter().map(move |b| (*a, *b)));
    pairs.filter_map(move |(a, b)| {
        let step = step(&a, &b)?;
        let row: Row = found.iter().map(|own| own.iter().find(|n| in_row(n, &a, step)).copied()).collect();
        sound(board, &row, step).then_some(row)
    })
}

/// The step from one layer's numeral to the next one's: none, or along a line of text.
fn step(a: &Numeral, b: &Numeral) -> Option<Point> {
    let apart = i64::from(b.digit) - i64::from(a.digit);
    if apart == 0 || !alike(a, b) {
        return None;
    }
    let step = Point::new((b.at.x - a.at.x) / apart, (b.at.y - a.at.y) / apart);
    let height = a.height as f64;
    let (along, across) =
        (step.x.abs().max(step.y.abs()) as f64 / height, step.x.abs().min(step.y.abs()) as f64 / height);
    let same_place = a.at.distance(b.at) <= OFF * height;
    (same_place || (STEP.contains(&along) && across <= 0.1)).then_some(if same_place { Point::new(0, 0) } else { step })
}

fn alike(a: &Numeral, b: &Numeral) -> bool {
    a.lying == b.lying && (a.height - b.height).abs() * 8 <= a.height
}

fn in_row(n: &Numeral, first: &Numeral, step: Point) -> bool {
    let apart = Nm::from(n.digit) - Nm::from(first.digit);
    let place = Point::new(first.at.x + apart * step.x, first.at.y + apart * step.y);
    alike(first, n) && n.at.distance(place) <= OFF * first.height as f64
}

/// Whether a row speaks: all inner layers, no numeral twice, and more than two layers where it is stepped.
fn sound(board: &Board, row: &Row, step: Point) -> bool {
    let mut digits: Vec<u8> = row.iter().flatten().map(|n| n.digit).collect();
    let layers = digits.len();
    digits.sort_unstable();
    digits.dedup();
    let all_inner = board.copper.iter().zip(row).all(|(c, n)| c.side != Side::Inner || n.is_some());
    all_inner && digits.len() == layers && (layers >= 3 || step == Point::new(0, 0))
}

fn testimony(board: &Board, row: &Row) -> Option<Testimony> {
    let last = board.copper.len() as u32;
    let inner = || board.copper.iter().zip(row).filter(|(c, _)| c.side == Side::Inner);
    let mut digits: Vec<u32> = inner().filter_map(|(_, n)| Some(u32::from(n.as_ref()?.digit))).collect();
    digits.sort_unstable();
    let outer = row.len() > digits.len() && row.iter().flatten().count() > digits.len();
    // Counted from the top over all layers, or from the first inner one.
    let from_top = digits.iter().copied().eq(2..last);
    let from_inner = !outer && digits.iter().copied().eq(1..last - 1);
    if !(from_top || from_inner) {
        return None;
    }
    let place = |digit: u8| u32::from(digit) + u32::from(!from_top);
    let spoken = board.copper.iter().zip(row).filter_map(|(c, n)| Some((c, (*n)?)));
    let places = spoken.map(|(c, n)| {
        let path = &board.files[c.file as usize].path;
        let at = format!("x {} y {} mm", extent::mm(n.at.x), extent::mm(n.at.y));
        (c.file, place(n.digit), format!("{path} has the numeral {} drawn in its copper at {at}", n.digit))
    });
    Some(Testimony { witness: "the numerals drawn in the copper".to_owned(), places: places.collect() })
}
