//! Coordinates: from the digits of a word to exact positions.

use super::command::{FormatWord, Zeros};
use crate::length::{self, Nm, Unit};

/// A coordinate as written, packed into eight bytes: value, count of digits, and what is odd about it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Coordinate(i64);

impl Coordinate {
    /// Values beyond this are kept as "too large".
    pub(super) const LARGEST: i64 = 1_000_000_000_000_000;
    const PRESENT: i64 = 1;
    const POINT: i64 = 2;
    const HUGE: i64 = 4;
    const FLAGS: u32 = 12;

    pub(super) fn new(value: i64, digits: usize, point: bool) -> Self {
        let huge = value.abs() > Self::LARGEST;
        let value = if huge { 0 } else { value };
        let digits = (digits.min(255) as i64) << 3;
        let flags = Self::PRESENT | if point { Self::POINT } else { 0 } | if huge { Self::HUGE } else { 0 };
        Self((value << Self::FLAGS) | digits | flags)
    }

    /// Whether the word has this letter at all.
    #[must_use]
    pub const fn is_present(self) -> bool {
        self.0 & Self::PRESENT != 0
    }

    /// Whether it was written with a decimal point.
    #[must_use]
    pub const fn has_point(self) -> bool {
        self.0 & Self::POINT != 0
    }

    /// Whether it is beyond what can be held.
    #[must_use]
    pub const fn is_huge(self) -> bool {
        self.0 & Self::HUGE != 0
    }

    /// The digits as one whole number, with sign.
    #[must_use]
    pub const fn value(self) -> i64 {
        self.0 >> Self::FLAGS
    }

    /// How many digits were written.
    #[must_use]
    pub const fn digits(self) -> u32 {
        ((self.0 >> 3) & 0xFF) as u32
    }
}

/// Why a coordinate has no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// It has a decimal point.
    Point,
    /// More digits than the format, with trailing zeros omitted.
    Unplaced,
    /// Beyond the range of the reader.
    Range,
}

/// The coordinate format in use. Positions are whole steps of its finer axis.
#[derive(Clone, Copy, Debug)]
pub struct Format {
    trailing_omitted: bool,
    x: Axis,
    y: Axis,
    decimals: u32,
}

#[derive(Clone, Copy, Debug)]
struct Axis {
    digits: u32,
    /// Steps of the finer axis in one step of this one.
    steps: i64,
}

impl Format {
    /// The format a word states.
    pub fn new(word: &FormatWord) -> Self {
        let decimals = u32::from(word.x.1.max(word.y.1));
        let axis = |(whole, part): (u8, u8)| Axis {
            digits: u32::from(whole).saturating_add(u32::from(part)),
            steps: 10i64.saturating_pow(decimals.saturating_sub(u32::from(part))),
        };
        Self { trailing_omitted: word.zeros == Zeros::TrailingOmitted, x: axis(word.x), y: axis(word.y), decimals }
    }

    /// Decimals of the finer axis.
    pub const fn decimals(&self) -> u32 {
        self.decimals
    }

    /// Whether more digits stand in `c` than the format has, and yet the value is clear.
    pub const fn has_extra_digits(&self, c: Coordinate, is_x: bool) -> bool {
        !self.trailing_omitted && c.digits() > if is_x { self.x.digits } else { self.y.digits }
    }

    /// Whether `c` has as many digits as the format.
    pub const fn is_full(&self, c: Coordinate, is_x: bool) -> bool {
        c.digits() == if is_x { self.x.digits } else { self.y.digits }
    }

    /// The value in steps.
    pub fn steps(&self, c: Coordinate, is_x: bool) -> Result<i64, Unreadable> {
        let axis = if is_x { self.x } else { self.y };
        if c.has_point() {
            return Err(Unreadable::Point);
        }
        if c.is_huge() {
            return Err(Unreadable::Range);
        }
        let mut value = c.value();
        if self.trailing_omitted && c.digits() != axis.digits {
            let missing = axis.digits.checked_sub(c.digits()).ok_or(Unreadable::Unplaced)?;
            value = 10i64.checked_pow(missing).and_then(|p| value.checked_mul(p)).ok_or(Unreadable::Range)?;
        }
        value.checked_mul(axis.steps).ok_or(Unreadable::Range)
    }
}

/// From steps to nanometres.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    decimals: u32,
    unit: i64,
    /// Nanometres in a step where that is a whole number, else 0.
    whole: i64,
}

impl Scale {
    /// The scale of a format in a unit.
    pub fn new(decimals: u32, unit: Unit) -> Self {
        let step = 10i64.saturating_pow(decimals);
        let is_whole = unit.nm().checked_rem(step) == Some(0);
        let whole = unit.nm().checked_div(step).filter(|_| is_whole).unwrap_or(0);
        Self { decimals, unit: unit.nm(), whole }
    }

    /// Nanometres, rounded once; `None` beyond `i64`.
    #[inline]
    pub fn nm(&self, steps: i64) -> Option<Nm> {
        if self.whole > 0 { steps.checked_mul(self.whole) } else { length::scale(steps, self.decimals, self.unit) }
    }

    /// One step, at least 1 nm.
    pub fn step(&self) -> Nm {
        self.nm(1).unwrap_or(1).max(1)
    }

    /// One step in nanometres, not rounded.
    pub fn exact_step(&self) -> f64 {
        self.unit as f64 / 10f64.powi(self.decimals as i32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn packing_keeps_value_digits_and_flags() {
        for (value, digits) in [(0, 1), (-1, 1), (123_456, 9), (-999_999_999_999_999, 15)] {
            let c = Coordinate::new(value, digits, false);
            assert_eq!((c.value(), c.digits() as usize), (value, digits));
            assert!(c.is_present() && !c.has_point() && !c.is_huge());
        }
        assert!(Coordinate::new(i64::MAX / 2, 300, true).is_huge());
        assert!(!Coordinate::default().is_present());
    }
}
