//! Boxes on grids of cells, one grid a size class: which boxes meet a given one.
//!
//! A box lies in the one cell of its lower left corner, on the finest grid whose cells are no smaller
//! than the box. A query therefore looks at the cells under it and one more to the left and below, and
//! meets every box once. Boundaries come in short pieces of one size, where a grid answers small
//! queries in a third of the time of a tree; a few long pieces lie on coarser grids.

use std::ops::ControlFlow;

use landgap_parser::{Nm, Point};

use super::layer::Bounds;

/// Cell of the finest grid.
const FINEST: Nm = 150_000;

/// Each grid's cells are this many times as wide as those of the next finer one.
const STEP: Nm = 4;

/// Cells per box a grid may have; with more, its cells double.
const SPARSE: i64 = 4;

/// Something with its box.
#[derive(Clone, Copy, Debug)]
struct Entry<T> {
    bounds: Bounds,
    item: T,
}

/// The boxes of one size class, by cell.
#[derive(Debug)]
struct Level {
    cell: Nm,
    origin: Point,
    /// Widest and highest box.
    reach: Point,
    wide: i64,
    high: i64,
    /// Where each cell's entries begin, and the end of the last.
    first: Vec<u32>,
}

/// Items with boxes, found by place.
#[derive(Debug)]
pub struct Grid<T> {
    levels: Vec<Level>,
    entries: Vec<Entry<T>>,
    bounds: Bounds,
}

/// The class of a box: how many steps above the finest.
fn class(bounds: &Bounds) -> u32 {
    let side = bounds.width().max(bounds.height());
    let (mut cell, mut class) = (FINEST, 0);
    while cell < side {
        cell = cell.saturating_mul(STEP);
        class += 1;
    }
    class
}

impl<T: Copy> Grid<T> {
    /// Places items; empty boxes are left out.
    #[must_use]
    pub fn new(items: impl IntoIterator<Item = (Bounds, T)>) -> Self {
        let mut all: Vec<(u32, Entry<T>)> = items
            .into_iter()
            .filter(|(bounds, _)| !bounds.is_empty())
            .map(|(bounds, item)| (class(&bounds), Entry { bounds, item }))
            .collect();
        all.sort_by_key(|(class, _)| *class);
        let mut grid = Self { levels: Vec::new(), entries: Vec::with_capacity(all.len()), bounds: Bounds::EMPTY };
        for members in all.chunk_by(|a, b| a.0 == b.0) {
            let (level, sorted) = Level::of(members, grid.entries.len() as u32);
            grid.levels.push(level);
            grid.entries.extend(sorted);
        }
        for entry in &grid.entries {
            grid.bounds.add(entry.bounds.min);
            grid.bounds.add(entry.bounds.max);
        }
        grid
    }

    /// The box round everything; empty when nothing is there.
    #[must_use]
    pub const fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// Calls `visit` with every item whose box meets `bounds`, until it breaks.
    pub fn visit(&self, bounds: Bounds, mut visit: impl FnMut(&Bounds, T) -> ControlFlow<()>) -> ControlFlow<()> {
        for level in &self.levels {
            level.cells(&bounds).try_for_each(|(from, to)| {
                self.entries[from as usize..to as usize]
                    .iter()
                    .filter(|e| e.bounds.meets(&bounds))
                    .try_for_each(|e| visit(&e.bounds, e.item))
            })?;
        }
        ControlFlow::Continue(())
    }

    /// Calls `visit` with every item whose box meets `bounds`.
    pub fn each(&self, bounds: Bounds, mut visit: impl FnMut(&Bounds, T)) {
        let _ = self.visit(bounds, |b, item| {
            visit(b, item);
            ControlFlow::Continue(())
        });
    }
}

impl Level {
    /// One class of boxes, and its entries in order of cell; `start` is the number of the first.
    fn of<T: Copy>(members: &[(u32, Entry<T>)], start: u32) -> (Self, Vec<Entry<T>>) {
        let mut corners = Bounds::EMPTY;
        let mut reach = Point::default();
        for (_, Entry { bounds, .. }) in members {
            corners.add(bounds.min);
            reach = Point::new(reach.x.max(bounds.width()), reach.y.max(bounds.height()));
        }
        let class = members.first().map_or(0, |(class, _)| *class);
        let most = members.len() as i64 * SPARSE + 64;
        let mut cell = (0..class).fold(FINEST, |cell, _| cell.saturating_mul(STEP));
        let count = |cell: Nm| (corners.width() / cell + 1, corners.height() / cell + 1);
        while count(cell).0.saturating_mul(count(cell).1) > most {
            cell *= 2;
        }
        let (wide, high) = count(cell);
        let mut level = Self { cell, origin: corners.min, reach, wide, high, first: Vec::new() };
        let cells: Vec<usize> = members.iter().map(|(_, e)| level.cell_of(e.bounds.min)).collect();
        let mut next = vec![start; (wide * high) as usize + 1];
        cells.iter().for_each(|c| next[c + 1] += 1);
        (1..next.len()).for_each(|i| next[i] += next[i - 1] - start);
        level.first.clone_from(&next);
        let mut sorted: Vec<Entry<T>> = members.iter().map(|(_, e)| *e).collect();
        for ((_, entry), cell) in members.iter().zip(cells) {
            sorted[(next[cell] - start) as usize] = *entry;
            next[cell] += 1;
        }
        (level, sorted)
    }

    const fn cell_of(&self, p: Point) -> usize {
        let (x, y) = ((p.x - self.origin.x) / self.cell, (p.y - self.origin.y) / self.cell);
        (y * self.wide + x) as usize
    }

    /// The runs of entries in the cells that may hold boxes meeting `bounds`, a row at a time.
    fn cells(&self, bounds: &Bounds) -> impl Iterator<Item = (u32, u32)> + use<'_> {
        let from = |least: Nm, reach: Nm, origin: Nm| ((least - reach - origin).div_euclid(self.cell)).max(0);
        let to = |most: Nm, origin: Nm, count: i64| (most - origin).div_euclid(self.cell).min(count - 1);
        let (x0, x1) = (from(bounds.min.x, self.reach.x, self.origin.x), to(bounds.max.x, self.origin.x, self.wide));
        let (y0, y1) = (from(bounds.min.y, self.reach.y, self.origin.y), to(bounds.max.y, self.origin.y, self.high));
        let rows = if x0 > x1 { 0..0 } else { y0..y1.saturating_add(1).max(y0) };
        rows.map(move |y| {
            let row = y * self.wide;
            (self.first[(row + x0) as usize], self.first[(row + x1) as usize + 1])
        })
    }
}
