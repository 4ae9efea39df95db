//! What a number is worth under a format, and what the digits of a program say about its format.

use std::collections::BTreeMap;

use super::hits::{Format, Zeros};
use super::words::Number;
use crate::length::{COORDINATE_MAX, Nm, Unit, scale};

/// Digit pictures met in practice, the control's own first.
pub const PICTURES: [(u32, u32); 10] = [(2, 4), (3, 3), (2, 5), (3, 2), (4, 2), (3, 4), (4, 3), (4, 4), (3, 5), (2, 6)];

impl Format {
    /// The power of ten of the last digit of a number of `length` digits without a point.
    #[must_use]
    pub fn exponent(&self, length: u8) -> i64 {
        match self.zeros {
            Zeros::Leading => i64::from(self.integer).saturating_sub(i64::from(length)),
            Zeros::Trailing => i64::from(self.decimals).saturating_neg(),
        }
    }

    /// The number in nanometres; `None` where it leaves the range of `i64`.
    #[must_use]
    pub fn nm(&self, number: &Number) -> Option<Nm> {
        let signed = number.signed();
        let exponent = match number.decimals {
            Some(decimals) => i64::from(decimals).saturating_neg(),
            None => self.exponent(number.length),
        };
        shifted(signed, exponent, self.unit)
    }

    /// Whether a number has more digits than the picture holds.
    #[must_use]
    pub fn is_long(&self, number: &Number) -> bool {
        number.decimals.is_none() && u32::from(number.length) > self.integer.saturating_add(self.decimals)
    }

    /// The format in words, as used in reports.
    #[must_use]
    pub fn words(&self) -> String {
        let zeros = match self.zeros {
            Zeros::Leading => "leading zeros kept (LZ)",
            Zeros::Trailing => "trailing zeros kept (TZ)",
        };
        format!("{}, {zeros}, {}.{} digits", self.unit.name(), self.integer, self.decimals)
    }
}

fn shifted(signed: i64, exponent: i64, unit: Unit) -> Option<Nm> {
    if signed == 0 {
        return Some(0);
    }
    let places = u32::try_from(exponent.unsigned_abs()).ok()?;
    if exponent < 0 {
        return scale(signed, places, unit.nm());
    }
    scale(signed.checked_mul(10i64.checked_pow(places)?)?, 0, unit.nm())
}

/// A number read as it stands, in whole units where it has no point.
#[must_use]
pub fn literal_nm(number: &Number, unit: Unit) -> Option<Nm> {
    shifted(number.signed(), i64::from(number.decimals.unwrap_or(0)).saturating_neg(), unit)
}

#[derive(Clone, Debug, Default)]
struct OfLength {
    largest: i64,
    leading_zero: bool,
    trailing_zero: bool,
}

/// What the numbers of a program look like, as a whole.
#[derive(Clone, Debug, Default)]
pub struct Digits {
    lengths: BTreeMap<u8, OfLength>,
    pointed: u64,
    plain: u64,
    most_decimals: u8,
}

impl Digits {
    /// Takes one coordinate or size into account. A zero is zero in every format, so it says nothing.
    pub fn add(&mut self, number: &Number) {
        if let Some(decimals) = number.decimals {
            self.pointed = self.pointed.saturating_add(1);
            self.most_decimals = self.most_decimals.max(decimals);
        } else if number.digits != 0 {
            self.plain = self.plain.saturating_add(1);
            let entry = self.lengths.entry(number.length).or_default();
            entry.largest = entry.largest.max(number.digits);
            entry.leading_zero |= number.leading_zero();
            entry.trailing_zero |= number.trailing_zero();
        }
    }

    /// Whether every number has a point (or is zero).
    #[must_use]
    pub const fn all_pointed(&self) -> bool {
        self.plain == 0
    }

    /// Whether numbers without a point are few, short and unpadded among numbers with one.
    #[must_use]
    pub fn whole_units_likely(&self) -> bool {
        let short = self.lengths.iter().all(|(length, of)| *length <= 3 && !of.leading_zero);
        self.plain > 0 && self.pointed > self.plain && short
    }

    /// Most digits behind a point.
    #[must_use]
    pub const fn most_decimals(&self) -> u8 {
        self.most_decimals
    }

    /// Digits of the longest number without a point; 0 where there is none.
    #[must_use]
    pub fn longest(&self) -> u8 {
        self.lengths.keys().next_back().copied().unwrap_or(0)
    }

    fn shorter_any(&self, has: impl Fn(&OfLength) -> bool) -> bool {
        self.lengths.range(..self.longest()).any(|(_, of)| has(of))
    }

    fn any(&self, has: impl Fn(&OfLength) -> bool) -> bool {
        self.lengths.values().any(has)
    }

    /// All numbers have this many digits, leading zeros among them.
    #[must_use]
    pub fn fixed_width(&self) -> Option<u32> {
        let fixed = self.lengths.len() == 1 && self.any(|of| of.leading_zero);
        fixed.then(|| u32::from(self.longest()))
    }

    /// The zeros the digits speak for, where they do.
    #[must_use]
    pub fn likely_zeros(&self) -> Option<Zeros> {
        if self.lengths.len() < 2 {
            return None;
        }
        let leading = self.shorter_any(|of| of.leading_zero);
        let trailing = self.shorter_any(|of| of.trailing_zero);
        match (leading, trailing) {
            (true, false) => Some(Zeros::Leading),
            (false, _) if !self.any(|of| of.leading_zero) => Some(Zeros::Trailing),
            _ => None,
        }
    }

    /// Whether the digits speak plainly against `zeros`.
    #[must_use]
    pub fn speaks_against(&self, zeros: Zeros) -> bool {
        let telling = self.plain >= 6 && self.lengths.len() > 1;
        telling
            && match zeros {
                Zeros::Leading => self.shorter_any(|of| of.trailing_zero) && !self.any(|of| of.leading_zero),
                Zeros::Trailing => self.shorter_any(|of| of.leading_zero) && !self.any(|of| of.trailing_zero),
            }
    }

    /// The power of ten of each length met: formats with equal powers give equal points.
    #[must_use]
    pub fn powers(&self, format: &Format) -> Vec<i64> {
        self.lengths.keys().map(|length| format.exponent(*length)).collect()
    }

    /// Whether every coordinate stays within the range of the reader.
    #[must_use]
    pub fn in_range(&self, format: &Format) -> bool {
        self.lengths.iter().all(|(length, of)| {
            shifted(of.largest, format.exponent(*length), format.unit).is_some_and(|nm| nm <= COORDINATE_MAX)
        })
    }
}
