//! Single numerals among the pieces of a picture.

use landgap_parser::{Nm, Point};

use super::glyphs::{self, COLUMNS, ROWS};
use super::raster::{Grid, Raster};

/// A piece fits its numeral at least this well: cells in common over cells in either.
const FITS: f64 = 0.72;
/// And no other numeral nearly as well.
const LEAD: f64 = 0.04;
/// Pens of lettering, in heights of the field.
const PENS: [f64; 4] = [0.08, 0.14, 0.2, 0.27];
/// A bar this many times as long as wide, within its box, is a 1.
const BAR: std::ops::RangeInclusive<usize> = 4..=12;

/// Centre lines of the numerals on a field of 4 by 6, with the variants of plain lettering.
const SHAPES: [(u8, &str); 14] = [
    (1, "04 26 20|00 40"),
    (1, "04 26 20"),
    (2, "05 16 36 45 44 00 40"),
    (3, "05 16 36 45 44 33 13|33 42 41 30 10 01"),
    (3, "05 16 36 45 44 33 42 41 30 10 01"),
    (3, "06 46 23 33 42 41 30 10 01"),
    (4, "30 36 02 42"),
    (4, "40 46 02 42"),
    (5, "46 06 03 33 42 41 30 10 01"),
    (6, "45 36 16 05 01 10 30 41 42 33 13 02"),
    (7, "06 46 10"),
    (8, "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33"),
    (8, "03 05 16 36 45 43 03 01 10 30 41 43"),
    (9, "01 10 30 41 45 36 16 05 04 13 33 44"),
];

/// A numeral of one figure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Numeral {
    pub digit: u8,
    /// Centre of its box.
    pub at: Point,
    pub height: Nm,
    /// Whether it reads from below upwards.
    pub lying: bool,
    fit: f64,
}

/// The numerals of a picture, the clearest first, at most so many.
pub(super) fn of(raster: &Raster, most: usize) -> Vec<Numeral> {
    let pieces = raster.pieces();
    let shapes = shapes();
    let mut out: Vec<Numeral> = Vec::new();
    for (label, cells) in pieces.boxes() {
        let read = if let Some(lying) = glyphs::is_lying(&raster.grid, cells) {
            digit(glyphs::brought(&pieces, label, cells, lying), &shapes).map(|(digit, fit)| (digit, fit, lying))
        } else {
            bar(&raster.grid, cells).map(|lying| (1, FITS, lying))
        };
        let Some((digit, fit, lying)) = read else { continue };
        let [x0, y0, x1, y1] = cells;
        let (low, high) = (raster.grid.corner(x0, y0), raster.grid.corner(x1 + 1, y1 + 1));
        let at = Point::new(low.x + (high.x - low.x) / 2, low.y + (high.y - low.y) / 2);
        let height = if lying { high.x - low.x } else { high.y - low.y };
        out.push(Numeral { digit, at, height, lying, fit });
    }
    out.sort_by(|a, b| b.fit.total_cmp(&a.fit).then(a.at.cmp(&b.at)));
    out.truncate(most);
    out
}

/// Every shape in every pen.
fn shapes() -> Vec<(u8, u128)> {
    SHAPES.iter().flat_map(|(digit, lines)| PENS.map(|pen| (*digit, drawn(lines, pen)))).collect()
}

/// The one numeral a piece fits clearly best.
fn digit(glyph: u128, shapes: &[(u8, u128)]) -> Option<(u8, f64)> {
    let fit = |shape: u128| f64::from((glyph & shape).count_ones()) / f64::from((glyph | shape).count_ones().max(1));
    let best = shapes.iter().map(|s| (s.0, fit(s.1))).max_by(|a, b| a.1.total_cmp(&b.1))?;
    let next = shapes.iter().filter(|s| s.0 != best.0).map(|s| fit(s.1)).fold(0.0, f64::max);
    (best.1 >= FITS && best.1 - next >= LEAD).then_some(best)
}

/// A plain upright stroke, and whether it lies.
fn bar(grid: &Grid, [x0, y0, x1, y1]: [usize; 4]) -> Option<bool> {
    let (w, h) = (x1 - x0 + 1, y1 - y0 + 1);
    let (long, short) = (w.max(h), w.min(h));
    let high = glyphs::HEIGHTS.contains(&(long as i64 * grid.cell)) && long >= glyphs::FEWEST_CELLS;
    (high && BAR.contains(&(long / short))).then_some(w > h)
}

/// A shape drawn with a pen and stretched to the whole field, as pieces are.
fn drawn(lines: &str, pen: f64) -> u128 {
    const TALL: f64 = 6.0;
    let point = |word: &str| {
        let digits: Vec<f64> = word.bytes().map(|b| f64::from(b.saturating_sub(b'0'))).collect();
        (digits[0], digits[1])
    };
    let strokes: Vec<Vec<(f64, f64)>> = lines.split('|').map(|l| l.split(' ').map(point).collect()).collect();
    let all = || strokes.iter().flatten();
    let radius = pen * TALL / 2.0;
    let low = all().fold((TALL, TALL), |m, p| (m.0.min(p.0 - radius), m.1.min(p.1 - radius)));
    let high = all().fold((0.0f64, 0.0f64), |m, p| (m.0.max(p.0 + radius), m.1.max(p.1 + radius)));
    // A cell of a piece is dark where any of the finer cells under it is.
    let reach = radius + 0.15;
    let dark = |x: usize, y: usize| {
        let at =
            |cell: usize, cells: usize, low: f64, high: f64| low + (cell as f64 + 0.5) / cells as f64 * (high - low);
        let centre = (at(x, COLUMNS, low.0, high.0), at(y, ROWS, low.1, high.1));
        strokes.iter().any(|s| s.windows(2).any(|pair| beside(centre, pair[0], pair[1]) <= reach))
    };
    let cells = (0..ROWS).flat_map(|y| (0..COLUMNS).map(move |x| (x, y)));
    cells.filter(|(x, y)| dark(*x, *y)).fold(0, |out, (x, y)| out | 1 << (y * COLUMNS + x))
}

/// Distance of a point from a stroke.
fn beside(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_shape_is_its_own_numeral() {
        let shapes = shapes();
        for (number, lines) in SHAPES {
            for pen in [0.1, 0.2] {
                assert_eq!(
                    digit(drawn(lines, pen), &shapes).map(|d| d.0),
                    Some(number),
                    "{number}: {lines}, pen {pen}"
                );
            }
        }
    }

    #[test]
    fn letters_are_no_numerals() {
        for lines in ["00 06 36 45 44 33 03|23 40", "00 06|40 46|03 43", "06 46 00 40", "00 06 40 46"] {
            assert_eq!(digit(drawn(lines, 0.12), &shapes()), None, "{lines}");
        }
    }
}
