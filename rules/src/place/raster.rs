//! Layers as coarse pictures, all on one grid, so that any two can be laid over one another cheaply.

use std::sync::Arc;

use landgap_parser::{Image, Nm, Point, Polarity};

use super::extent::Extent;
use crate::geometry::shape;

/// Cells along the longer side of a picture, at most.
const CELLS: Nm = 2_600;
/// Cells are not made smaller than this: finer detail says nothing about what a layer is.
const FINEST: Nm = 40_000;

/// Crossings of edges with rows after which a picture is left as it is: no real layer comes near.
const MOST_CROSSINGS: usize = 400_000_000;

/// The grid all pictures of a set share.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    low: Point,
    /// Side of a cell.
    pub cell: Nm,
    pub width: usize,
    pub height: usize,
}

impl Grid {
    /// A grid over a box.
    pub fn over(box_: Extent) -> Self {
        let side = box_.width().max(box_.height()).max(1);
        let cell = side.div_euclid(CELLS).max(FINEST);
        let count = |length: Nm| usize::try_from(length / cell + 1).unwrap_or(1);
        Self { low: box_.low, cell, width: count(box_.width()), height: count(box_.height()) }
    }

    /// The cell a point lies in.
    pub fn cell_of(&self, p: Point) -> Option<(usize, usize)> {
        let at = |v: Nm, low: Nm| usize::try_from((v - low).div_euclid(self.cell)).ok();
        let (x, y) = (at(p.x, self.low.x)?, at(p.y, self.low.y)?);
        (x < self.width && y < self.height).then_some((x, y))
    }

    /// The low corner of a cell.
    pub fn corner(&self, x: usize, y: usize) -> Point {
        Point::new(self.low.x + x as Nm * self.cell, self.low.y + y as Nm * self.cell)
    }

    /// Area of a number of cells in mm².
    pub fn mm2(&self, cells: usize) -> f64 {
        cells as f64 * (self.cell as f64 / 1e6).powi(2)
    }
}

/// A picture: a bit a cell.
#[derive(Clone, Debug)]
pub(super) struct Raster {
    pub grid: Arc<Grid>,
    words: usize,
    bits: Vec<u64>,
}

impl Raster {
    /// An empty picture.
    pub fn empty(grid: &Arc<Grid>) -> Self {
        let words = grid.width.div_ceil(64);
        Self { grid: Arc::clone(grid), words, bits: vec![0; words * grid.height] }
    }

    /// What an image shows in the end: dark objects set, clear ones take away, in order.
    pub fn of(image: &Image, grid: &Arc<Grid>) -> Self {
        let mut out = Self::empty(grid);
        let mut crossings = Vec::new();
        let mut work = 0;
        for object in &image.objects {
            let contours = shape::contours(image, object);
            out.fill(&contours, object.polarity == Polarity::Dark, &mut crossings);
            work += crossings.len();
            if work > MOST_CROSSINGS {
                break;
            }
        }
        out
    }

    /// Fills polygons by non-zero winding, at the centres of the cells.
    pub fn fill(&mut self, contours: &[Vec<Point>], dark: bool, crossings: &mut Vec<(usize, f64, i32)>) {
        crossings.clear();
        for contour in contours {
            let next = contour.iter().cycle().skip(1);
            contour.iter().zip(next).for_each(|(a, b)| self.cross(*a, *b, crossings));
        }
        crossings.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        for row in crossings.chunk_by(|a, b| a.0 == b.0) {
            let mut winding = 0;
            for pair in row.windows(2) {
                winding += pair[0].2;
                if winding != 0 {
                    self.span(pair[0].0, pair[0].1, pair[1].1, dark);
                }
            }
        }
    }

    /// Notes where an edge crosses the centre lines of rows.
    fn cross(&self, a: Point, b: Point, out: &mut Vec<(usize, f64, i32)>) {
        let cell = self.grid.cell as f64;
        let at = |p: Point| ((p.x - self.grid.low.x) as f64 / cell, (p.y - self.grid.low.y) as f64 / cell - 0.5);
        let ((ax, ay), (bx, by)) = (at(a), at(b));
        let (low, high) = (ay.min(by), ay.max(by));
        let first = low.ceil().max(0.0) as usize;
        let end = (high.ceil().max(0.0) as usize).min(self.grid.height);
        for row in first..end {
            let x = ax + (row as f64 - ay) / (by - ay) * (bx - ax);
            out.push((row, x, if by > ay { 1 } else { -1 }));
        }
    }

    fn span(&mut self, row: usize, from: f64, to: f64, dark: bool) {
        let first = (from - 0.5).ceil().max(0.0) as usize;
        let end = ((to - 0.5).ceil().max(0.0) as usize).min(self.grid.width);
        if first >= end {
            return;
        }
        let line = &mut self.bits[row * self.words..(row + 1) * self.words];
        for (word, bits) in line.iter_mut().enumerate().take(end.div_ceil(64)).skip(first / 64) {
            let from = first.saturating_sub(word * 64).min(63);
            let to = (end - word * 64).min(64);
            let mask = (u64::MAX << from) & (u64::MAX >> (64 - to));
            if dark { *bits |= mask } else { *bits &= !mask }
        }
    }

    /// Whether a cell is dark.
    pub fn get(&self, x: usize, y: usize) -> bool {
        self.bits[y * self.words + x / 64] >> (x % 64) & 1 == 1
    }

    /// Whether a point is dark.
    pub fn dark_at(&self, p: Point) -> bool {
        self.grid.cell_of(p).is_some_and(|(x, y)| self.get(x, y))
    }

    /// Whether anything dark lies within a square round a point.
    pub fn dark_near(&self, p: Point, reach: Nm) -> bool {
        let by = usize::try_from(reach / self.grid.cell).unwrap_or(0);
        let Some((cx, cy)) = self.grid.cell_of(p) else { return false };
        let rows = cy.saturating_sub(by)..=(cy + by).min(self.grid.height - 1);
        let (from, to) = (cx.saturating_sub(by), (cx + by).min(self.grid.width - 1));
        rows.into_iter().any(|y| (from..=to).any(|x| self.get(x, y)))
    }

    /// Dark cells.
    pub fn count(&self) -> usize {
        self.bits.iter().map(|w| w.count_ones() as usize).sum()
    }

    /// Cells dark in both.
    pub fn shared(&self, other: &Self) -> usize {
        self.bits.iter().zip(&other.bits).map(|(a, b)| (a & b).count_ones() as usize).sum()
    }

    /// Connected pieces, as a number for every dark cell (0 elsewhere), and how many there are.
    pub fn pieces(&self) -> Pieces {
        let (width, height) = (self.grid.width, self.grid.height);
        let mut labels = vec![0u32; width * height];
        let mut parents = vec![0u32];
        for y in 0..height {
            for x in 0..width {
                if !self.get(x, y) {
                    continue;
                }
                let left = if x > 0 { labels[y * width + x - 1] } else { 0 };
                let mut label = left;
                let above = if y > 0 { x.saturating_sub(1)..(x + 2).min(width) } else { 0..0 };
                for near in above.map(|i| labels[(y - 1) * width + i]).filter(|l| *l != 0) {
                    label = if label == 0 { near } else { join(&mut parents, label, near) };
                }
                if label == 0 {
                    label = u32::try_from(parents.len()).unwrap_or(u32::MAX);
                    parents.push(label);
                }
                labels[y * width + x] = label;
            }
        }
        labels.iter_mut().for_each(|l| *l = root(&mut parents, *l));
        Pieces { labels, width }
    }
}

/// The connected pieces of a picture.
pub(super) struct Pieces {
    labels: Vec<u32>,
    width: usize,
}

impl Pieces {
    /// The piece a cell belongs to; 0 for none.
    pub fn at(&self, x: usize, y: usize) -> u32 {
        self.labels[y * self.width + x]
    }

    /// The box of every piece: number, lowest cell, highest cell.
    pub fn boxes(&self) -> Vec<(u32, [usize; 4])> {
        let mut boxes: std::collections::BTreeMap<u32, [usize; 4]> = std::collections::BTreeMap::new();
        for (i, label) in self.labels.iter().enumerate().filter(|(_, l)| **l != 0) {
            let (x, y) = (i % self.width, i / self.width);
            let b = boxes.entry(*label).or_insert([x, y, x, y]);
            *b = [b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)];
        }
        boxes.into_iter().collect()
    }
}

fn root(parents: &mut [u32], of: u32) -> u32 {
    let mut at = of;
    while parents[at as usize] != at {
        parents[at as usize] = parents[parents[at as usize] as usize];
        at = parents[at as usize];
    }
    at
}

fn join(parents: &mut [u32], a: u32, b: u32) -> u32 {
    let (a, b) = (root(parents, a), root(parents, b));
    parents[a.max(b) as usize] = a.min(b);
    a.min(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> Arc<Grid> {
        let box_ = Extent { low: Point::new(0, 0), high: Point::new(10_000_000, 4_000_000) };
        Arc::new(Grid::over(box_))
    }

    fn square(x: Nm, y: Nm, size: Nm) -> Vec<Point> {
        [(x, y), (x + size, y), (x + size, y + size), (x, y + size)].map(|(x, y)| Point::new(x, y)).to_vec()
    }

    #[test]
    fn squares_have_their_area_and_clear_takes_away() {
        let grid = grid();
        let mut raster = Raster::empty(&grid);
        raster.fill(&[square(1_000_000, 1_000_000, 2_000_000)], true, &mut Vec::new());
        assert!((grid.mm2(raster.count()) - 4.0).abs() < 0.2);
        raster.fill(&[square(1_000_000, 1_000_000, 1_000_000)], false, &mut Vec::new());
        assert!((grid.mm2(raster.count()) - 3.0).abs() < 0.2);
        assert!(raster.dark_at(Point::new(2_500_000, 2_500_000)));
        assert!(!raster.dark_at(Point::new(1_500_000, 1_500_000)));
    }

    #[test]
    fn pieces_are_counted_apart_and_a_bridge_joins_them() {
        let mut raster = Raster::empty(&grid());
        raster.fill(&[square(1_000_000, 1_000_000, 1_000_000)], true, &mut Vec::new());
        raster.fill(&[square(5_000_000, 1_000_000, 1_000_000)], true, &mut Vec::new());
        assert_eq!(raster.pieces().boxes().len(), 2);
        raster.fill(&[square(1_500_000, 1_200_000, 4_000_000)], true, &mut Vec::new());
        assert_eq!(raster.pieces().boxes().len(), 1);
    }
}
