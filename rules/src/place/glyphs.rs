//! Which way round the characters on a layer read.
//!
//! Small pieces of the picture, tall as characters are, are laid over plain shapes of capitals and
//! numerals: as they are, upside down, mirrored, and both. Characters that look alike mirrored say
//! nothing; the others say together which way round the layer is seen.

use super::raster::{Grid, Pieces, Raster};

/// Columns and rows of the grid a character is brought to.
pub(super) const COLUMNS: usize = 9;
pub(super) const ROWS: usize = 13;
const LAST_COLUMN: u128 = column(COLUMNS - 1);
const FIRST_COLUMN: u128 = column(0);
const ALL: u128 = (1 << (COLUMNS * ROWS)) - 1;
/// Heights of characters, in nanometres.
pub(super) const HEIGHTS: std::ops::RangeInclusive<i64> = 500_000..=4_000_000;
/// Fewest cells a character is high.
pub(super) const FEWEST_CELLS: usize = 8;
/// A piece that fits no character at least this well is none.
const FITS: f64 = 0.88;

/// Centre lines of the characters on a field of 4 by 6, as pairs of digits, lines apart by `|`.
const CHARACTERS: [&str; 33] = [
    "10 30 41 45 36 16 05 01 10",
    "14 26 20|10 30",
    "05 16 36 45 44 00 40",
    "05 16 36 45 44 33 13|33 42 41 30 10 01",
    "30 36 02 42",
    "46 06 03 33 42 41 30 10 01",
    "45 36 16 05 01 10 30 41 42 33 13 02",
    "06 46 10",
    "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "01 10 30 41 45 36 16 05 04 13 33 44",
    "00 26 40|12 32",
    "00 06 36 45 44 33 03|33 42 41 30 00",
    "45 36 16 05 01 10 30 41",
    "00 06 26 44 42 20 00",
    "46 06 00 40|03 33",
    "46 06 00|03 33",
    "45 36 16 05 01 10 30 41 43 23",
    "00 06|40 46|03 43",
    "46 41 30 10 01",
    "00 06|46 02|13 40",
    "06 00 40",
    "00 06 23 46 40",
    "00 06 40 46",
    "00 06 36 45 44 33 03",
    "10 30 41 45 36 16 05 01 10|22 40",
    "00 06 36 45 44 33 03|23 40",
    "45 36 16 05 04 13 33 42 41 30 10 01",
    "06 46|26 20",
    "06 01 10 30 41 46",
    "06 20 46",
    "00 46|06 40",
    "06 23 46|23 20",
    "06 46 00 40",
];

/// What the characters of a layer say.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Reading {
    /// Pieces taken for characters.
    pub characters: usize,
    /// Mean lead of reading as it is over reading mirrored; negative where mirrored reads better.
    pub lead: f64,
}

impl Reading {
    /// How much the characters say, by their lead and number; negative for mirrored.
    pub fn weight(&self) -> f64 {
        self.lead * (self.characters as f64).sqrt()
    }
}

/// Reads a layer.
pub(super) fn read(raster: &Raster) -> Reading {
    let pieces = raster.pieces();
    let shapes: Vec<(u128, u128)> = CHARACTERS.iter().map(|c| character(c)).map(|c| (c, grown(c))).collect();
    // Lying and standing text apart; in each, the four ways of reading.
    let mut sums = [[0.0f64; 4]; 2];
    let mut characters = 0;
    for (label, cells) in pieces.boxes() {
        let Some(lying) = is_lying(&raster.grid, cells) else { continue };
        let glyph = brought(&pieces, label, cells, lying);
        let scores = [glyph, turned(glyph), mirrored(glyph), turned(mirrored(glyph))].map(|g| best(g, &shapes));
        if scores.iter().fold(0.0, |a: f64, b| a.max(*b)) < FITS {
            continue;
        }
        characters += 1;
        for (sum, score) in sums[usize::from(lying)].iter_mut().zip(scores) {
            *sum += score;
        }
    }
    let lead = |s: &[f64; 4]| s[0].max(s[1]) - s[2].max(s[3]);
    let total: f64 = sums.iter().map(lead).sum();
    Reading { characters, lead: if characters == 0 { 0.0 } else { total / characters as f64 } }
}

/// Whether a piece of a character's size lies on its side; `None` where it has no such size.
pub(super) fn is_lying(grid: &Grid, [x0, y0, x1, y1]: [usize; 4]) -> Option<bool> {
    let (w, h) = (x1 - x0 + 1, y1 - y0 + 1);
    let (long, short) = (w.max(h), w.min(h));
    let high = HEIGHTS.contains(&(long as i64 * grid.cell)) && long >= FEWEST_CELLS;
    (high && long * 10 >= short * 11 && long <= short * 3).then_some(w > h)
}

const fn column(number: usize) -> u128 {
    let mut out = 0;
    let mut row = 0;
    while row < ROWS {
        out |= 1 << (row * COLUMNS + number);
        row += 1;
    }
    out
}

/// A piece of the picture on the small grid; lying characters are stood up first.
pub(super) fn brought(pieces: &Pieces, label: u32, [x0, y0, x1, y1]: [usize; 4], lying: bool) -> u128 {
    let (w, h) = if lying { (y1 - y0 + 1, x1 - x0 + 1) } else { (x1 - x0 + 1, y1 - y0 + 1) };
    let mut out = 0;
    for v in 0..h {
        for u in 0..w {
            // Text that reads from below upwards, turned clockwise by a quarter.
            let (x, y) = if lying { (x1 - v, y0 + u) } else { (x0 + u, y0 + v) };
            if pieces.at(x, y) == label {
                out |= 1 << (v * ROWS / h * COLUMNS + u * COLUMNS / w);
            }
        }
    }
    out
}

fn character(lines: &str) -> u128 {
    let point = |word: &str| {
        let digits: Vec<f64> = word.bytes().map(|b| f64::from(b.saturating_sub(b'0'))).collect();
        (digits[0] * 2.0, digits[1] * 2.0)
    };
    let mut out = 0;
    for line in lines.split('|') {
        let points: Vec<(f64, f64)> = line.split(' ').map(point).collect();
        for pair in points.windows(2) {
            for step in 0..=24 {
                let t = f64::from(step) / 24.0;
                let at = |a: f64, b: f64| (a + (b - a) * t).round() as usize;
                out |= 1 << (at(pair[0].1, pair[1].1) * COLUMNS + at(pair[0].0, pair[1].0));
            }
        }
    }
    out
}

/// Grown by a cell in all eight directions.
fn grown(bits: u128) -> u128 {
    let wide = bits | (bits & !LAST_COLUMN) << 1 | (bits & !FIRST_COLUMN) >> 1;
    (wide | wide << COLUMNS | wide >> COLUMNS) & ALL
}

fn mirrored(bits: u128) -> u128 {
    (0..COLUMNS).fold(0, |out, c| {
        let line = (bits & column(c)) >> c;
        out | line << (COLUMNS - 1 - c)
    })
}

fn turned(bits: u128) -> u128 {
    bits.reverse_bits() >> (128 - COLUMNS * ROWS)
}

/// How well the best character fits, 0 to 1.
fn best(glyph: u128, shapes: &[(u128, u128)]) -> f64 {
    let around = grown(glyph);
    let share = |part: u128, whole: u128| f64::from(part.count_ones()) / f64::from(whole.count_ones().max(1));
    let fit =
        |(shape, shape_around): &(u128, u128)| (share(shape & around, *shape)).min(share(glyph & shape_around, glyph));
    shapes.iter().map(fit).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turning_and_mirroring_twice_changes_nothing() {
        for lines in CHARACTERS {
            let c = character(lines);
            assert_eq!(turned(turned(c)), c);
            assert_eq!(mirrored(mirrored(c)), c);
            assert_eq!(best(c, &[(c, grown(c))]), 1.0);
        }
    }

    #[test]
    fn an_r_fits_itself_only_one_way() {
        let shapes: Vec<_> = CHARACTERS.iter().map(|c| character(c)).map(|c| (c, grown(c))).collect();
        let r = character("00 06 36 45 44 33 03|23 40");
        assert!(best(mirrored(r), &shapes) < 0.99 && best(r, &shapes) > 0.99);
        let h = character("00 06|40 46|03 43");
        assert_eq!(best(h, &shapes), best(mirrored(h), &shapes));
    }
}
