//! How much of the board each copper layer covers, as a whole and in windows.
//!
//! Method: a grid of square cells is laid centrally over the board's box, so that turning or
//! mirroring a board changes nothing. The area of copper in every cell is summed exactly from the
//! boundary pieces, cut at the cell lines; windows of five by five cells follow from sums of cells.
//! Copper outside the board's edge does not count.

use std::collections::BTreeSet;

use landgap_parser::{Nm, Point};

use super::{Bench, in_parallel};
use crate::fact::{Coverage, Window};
use crate::geometry::distance::segment_segment;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::outline::Edge;
use crate::geometry::{Bounds, LayerImage, engine};

/// Side of a window (common practice, no source).
pub const WINDOW: Nm = 25_000_000;

/// How far one window lies from the next.
const STEP: Nm = 5_000_000;

/// A board longer than whole cells by less than this needs no further cell.
const ROUNDING: Nm = 1_000;

/// Cells along the side of a window.
const CELLS: usize = (WINDOW / STEP) as usize;

/// A window counts only where the board fills at least this share of it.
const FILLED: f64 = 0.5;

/// Coverage of every copper layer; empty where there is no closed outline.
pub(super) fn of(bench: &Bench<'_>) -> Vec<Coverage> {
    let Some(edge) = bench.edge else { return Vec::new() };
    let outline = &bench.geometry.outline;
    let Some(frame) = Frame::over(outline) else { return Vec::new() };
    let body = body(edge, outline);
    let mut board = Grid::new(&frame);
    body.iter().for_each(|c| board.add(&frame, c));
    let board = board.cells();
    let layers: Vec<usize> = (0..bench.copper.len()).collect();
    in_parallel(&layers, |&i| {
        let mut copper = Grid::new(&frame);
        inside(edge, &body, &bench.geometry.copper[i], &bench.copper[i], |contour| copper.add(&frame, contour));
        coverage(&frame, &copper.cells(), &board)
    })
}

/// Outline contours wound so that material lies to their left.
fn body(edge: &Edge, outline: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let wound = |(number, contour): (u32, &Vec<Point>)| {
        let around = edge.index.enclosers(contour[0]).into_iter().filter(|other| *other != number).count();
        let adds = around % 2 == 0;
        if (engine::doubled_area(contour) > 0) == adds {
            contour.clone()
        } else {
            contour.iter().rev().copied().collect()
        }
    };
    (0u32..).zip(outline).map(wound).collect()
}

/// Hands over the contours of the copper that lies on the board; islands the edge crosses are cut at it.
fn inside(edge: &Edge, body: &[Vec<Point>], image: &LayerImage, index: &EdgeIndex, mut add: impl FnMut(&[Point])) {
    let crossed = crossed(edge, index);
    for (number, island) in (0u32..).zip(&image.islands) {
        if crossed.contains(&number) {
            engine::intersection(&island.contours, body).iter().flatten().for_each(|c| add(c));
        } else if edge.holds(island.contours[0][0]) {
            island.contours.iter().for_each(|c| add(c));
        }
    }
}

/// Islands the board's edge runs through, or along.
fn crossed(edge: &Edge, index: &EdgeIndex) -> BTreeSet<u32> {
    let mut out = BTreeSet::new();
    for piece in edge.index.edges() {
        index.near(Bounds::of(&[piece.segment.a, piece.segment.b]).grown(1), |i| {
            let other = &index.edges()[i];
            if segment_segment(piece.segment, other.segment).length <= 1.0 {
                out.insert(other.island);
            }
        });
    }
    out
}

/// Where the cells lie.
struct Frame {
    min: (f64, f64),
    columns: usize,
    rows: usize,
}

impl Frame {
    fn over(outline: &[Vec<Point>]) -> Option<Self> {
        let mut bounds = Bounds::EMPTY;
        outline.iter().flatten().for_each(|p| bounds.add(*p));
        if bounds.is_empty() || bounds.width() == 0 || bounds.height() == 0 {
            return None;
        }
        let count = |length: Nm| ((length - ROUNDING).max(1) + STEP - 1) / STEP;
        let (columns, rows) = (count(bounds.width()), count(bounds.height()));
        let start = |low: Nm, high: Nm, cells: Nm| ((low + high) - cells * STEP) as f64 / 2.0;
        Some(Self {
            min: (start(bounds.min.x, bounds.max.x, columns), start(bounds.min.y, bounds.max.y, rows)),
            columns: columns as usize,
            rows: rows as usize,
        })
    }
}

/// Signed areas by cell while contours are added. Lengths are in cells.
struct Grid {
    columns: usize,
    /// Area of the pieces that end within the cell.
    part: Vec<f64>,
    /// Height of the pieces whose area covers every cell to the left in full.
    left: Vec<f64>,
}

impl Grid {
    fn new(frame: &Frame) -> Self {
        let cells = (frame.columns + 1) * frame.rows;
        Self { columns: frame.columns, part: vec![0.0; cells], left: vec![0.0; cells] }
    }

    /// Adds one contour; material lies to its left.
    fn add(&mut self, frame: &Frame, contour: &[Point]) {
        let scaled = |p: Point| ((p.x as f64 - frame.min.0) / STEP as f64, (p.y as f64 - frame.min.1) / STEP as f64);
        let Some(last) = contour.last() else { return };
        let mut from = scaled(*last);
        for p in contour {
            let to = scaled(*p);
            self.piece(frame, from, to);
            from = to;
        }
    }

    /// Cuts a piece at the lines between rows.
    fn piece(&mut self, frame: &Frame, a: (f64, f64), b: (f64, f64)) {
        if a.1 == b.1 {
            return;
        }
        let (low, high) = if a.1 < b.1 { (a, b) } else { (b, a) };
        let sign = if a.1 < b.1 { 1.0 } else { -1.0 };
        let x_at = |y: f64| low.0 + (high.0 - low.0) * (y - low.1) / (high.1 - low.1);
        let first = low.1.floor().max(0.0) as usize;
        let mut start = if low.1 < 0.0 && high.1 > 0.0 { (x_at(0.0), 0.0) } else { low };
        for row in first..frame.rows {
            let top = (row + 1) as f64;
            let end = if high.1 <= top { high } else { (x_at(top), top) };
            if end.1 > start.1 {
                self.in_row(row, start, end, sign);
            }
            start = end;
            if high.1 <= top {
                break;
            }
        }
    }

    /// Cuts a piece within one row at the lines between columns.
    fn in_row(&mut self, row: usize, a: (f64, f64), b: (f64, f64), sign: f64) {
        let (left, right) = if a.0 <= b.0 { (a.0, b.0) } else { (b.0, a.0) };
        let height = b.1 - a.1;
        let first = left.floor().clamp(0.0, self.columns as f64) as usize;
        let last = right.floor().clamp(0.0, self.columns as f64) as usize;
        if first == last {
            return self.put(row, first, (left + right) / 2.0, sign * height);
        }
        let slope = height / (right - left);
        let mut x = left;
        for column in first..=last {
            let end = if column == last { right } else { right.min((column + 1) as f64) };
            self.put(row, column, (x + end) / 2.0, sign * slope * (end - x));
            x = end;
        }
    }

    /// A piece of this height within one cell, its middle at `x`.
    fn put(&mut self, row: usize, column: usize, x: f64, height: f64) {
        let at = row * (self.columns + 1) + column;
        self.part[at] += (x - column as f64).clamp(0.0, 1.0) * height;
        self.left[at] += height;
    }

    /// Area in every cell, row by row, as a share of the cell.
    fn cells(&self) -> Vec<f64> {
        let stride = self.columns + 1;
        let mut out = Vec::with_capacity(self.part.len());
        for row in self.part.chunks(stride).zip(self.left.chunks(stride)) {
            let mut areas = vec![0.0; stride];
            let mut beyond = 0.0;
            for column in (0..stride).rev() {
                areas[column] = row.0[column] + beyond;
                beyond += row.1[column];
            }
            out.extend_from_slice(&areas[..self.columns]);
        }
        out
    }
}

/// Sums of all cells below and left of a corner.
struct Sums {
    columns: usize,
    sums: Vec<f64>,
}

impl Sums {
    fn of(frame: &Frame, cells: &[f64]) -> Self {
        let columns = frame.columns + 1;
        let mut sums = vec![0.0; columns * (frame.rows + 1)];
        for row in 0..frame.rows {
            let mut along = 0.0;
            for column in 0..frame.columns {
                along += cells[row * frame.columns + column];
                sums[(row + 1) * columns + column + 1] = sums[row * columns + column + 1] + along;
            }
        }
        Self { columns, sums }
    }

    fn within(&self, column: usize, row: usize, wide: usize, high: usize) -> f64 {
        let at = |c: usize, r: usize| self.sums[r * self.columns + c];
        at(column + wide, row + high) - at(column, row + high) - at(column + wide, row) + at(column, row)
    }
}

/// A share in millionths.
fn millionths(copper: f64, board: f64) -> u32 {
    if board > 0.0 { ((copper / board).clamp(0.0, 1.0) * 1e6).round() as u32 } else { 0 }
}

fn coverage(frame: &Frame, copper: &[f64], board: &[f64]) -> Coverage {
    let share = millionths(copper.iter().sum(), board.iter().sum());
    let (copper, board) = (Sums::of(frame, copper), Sums::of(frame, board));
    let (wide, high) = (CELLS.min(frame.columns), CELLS.min(frame.rows));
    let mut windows = Vec::new();
    for row in 0..=frame.rows - high {
        for column in 0..=frame.columns - wide {
            let filled = board.within(column, row, wide, high);
            let only = frame.columns == wide && frame.rows == high;
            if only || filled >= FILLED * (wide * high) as f64 {
                let share = millionths(copper.within(column, row, wide, high), filled);
                windows.push(Window { share, at: middle(frame, column, row, wide, high) });
            }
        }
    }
    let mean = windows.iter().map(|w| u64::from(w.share)).sum::<u64>() / (windows.len() as u64).max(1);
    let least = windows.iter().copied().min_by_key(|w| (w.share, w.at));
    let most = windows.iter().copied().max_by_key(|w| (w.share, std::cmp::Reverse(w.at)));
    Coverage { share, least, most, mean: mean as u32, windows: windows.len() as u32 }
}

fn middle(frame: &Frame, column: usize, row: usize, wide: usize, high: usize) -> Point {
    let half = |cells: usize| cells as f64 / 2.0;
    let at = |min: f64, cells: f64| (min + cells * STEP as f64).round() as Nm;
    Point::new(at(frame.min.0, column as f64 + half(wide)), at(frame.min.1, row as f64 + half(high)))
}
