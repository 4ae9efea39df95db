//! Lengths: integer nanometres, made from decimal text without floats.
//!
//! One inch is 25 400 000 nm exactly. A metric file with up to six decimals converts exactly; inch
//! data round once, half away from zero, by at most half a nanometre.

#![deny(clippy::arithmetic_side_effects)]

/// A length or coordinate in nanometres.
///
/// An alias, not a newtype: the boolean engine, the spatial index and the closed-form distances all
/// work on bare integers, and a wrapper would be taken off at every one of their doors.
pub type Nm = i64;

/// The largest coordinate any file may name: one metre either side of the origin.
///
/// The 32-bit boolean engine is exact up to ±1.07 m, which is more than any production panel.
pub const COORDINATE_MAX: Nm = 1_000_000_000;

/// The unit a file's numbers are written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Inches.
    Inch,
}

impl Unit {
    /// Nanometres in one unit.
    #[must_use]
    pub const fn nm(self) -> i64 {
        match self {
            Self::Millimetre => 1_000_000,
            Self::Inch => 25_400_000,
        }
    }

    /// The trade's short name of the unit.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Inch => "inch",
        }
    }
}

/// A decimal number as written: `digits` × 10^-`decimals`, sign included in `digits`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    /// All digits as one integer, with the sign.
    pub digits: i64,
    /// How many of them stand behind the point.
    pub decimals: u32,
}

impl Decimal {
    /// Reads `[+-]?digits[.digits]`; `None` where the text is anything else or holds more than 18 digits.
    #[must_use]
    pub fn parse(text: &[u8]) -> Option<Self> {
        let (negative, body) = match text {
            [b'-', rest @ ..] => (true, rest),
            [b'+', rest @ ..] => (false, rest),
            rest => (false, rest),
        };
        let mut digits: i64 = 0;
        let mut decimals: u32 = 0;
        let mut seen_point = false;
        let mut seen_digit = false;
        for &byte in body {
            match byte {
                b'0'..=b'9' => {
                    seen_digit = true;
                    digits = digits.checked_mul(10)?.checked_add(i64::from(byte.wrapping_sub(b'0')))?;
                    if seen_point {
                        decimals = decimals.checked_add(1)?;
                    }
                }
                b'.' if !seen_point => seen_point = true,
                _ => return None,
            }
        }
        let digits = if negative { digits.checked_neg()? } else { digits };
        seen_digit.then_some(Self { digits, decimals })
    }

    /// The length in nanometres, rounded half away from zero; `None` beyond the range of `i64`.
    #[must_use]
    pub fn to_nm(self, unit: Unit) -> Option<Nm> {
        scale(self.digits, self.decimals, unit.nm())
    }

    /// The plain value, for numbers that are not lengths (angles, counts, factors).
    #[must_use]
    pub fn to_f64(self) -> f64 {
        self.digits as f64 / 10f64.powi(self.decimals.min(300) as i32)
    }
}

/// `digits × per_unit ÷ 10^decimals`, rounded half away from zero.
#[must_use]
pub fn scale(digits: i64, decimals: u32, per_unit: i64) -> Option<Nm> {
    let wide = i128::from(digits).checked_mul(i128::from(per_unit))?;
    let divisor = 10i128.checked_pow(decimals)?;
    let half = divisor / 2;
    let rounded = if wide < 0 { wide.checked_sub(half)? } else { wide.checked_add(half)? };
    i64::try_from(rounded.checked_div(divisor)?).ok()
}
