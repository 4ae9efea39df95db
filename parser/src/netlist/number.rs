//! Numbers in columns, and the lengths they are.

use super::record::trimmed;
use crate::length::{COORDINATE_MAX, Nm, Unit};

/// What a numeric field holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Count {
    /// Nothing.
    Blank,
    /// A whole number of unit steps.
    Steps(i64),
    /// Anything else, or more than 18 digits.
    Unreadable,
}

/// Reads `[sign][blanks]digits`: leading zeros may be written as blanks.
pub(super) fn count(text: &[u8]) -> Count {
    let text = trimmed(text);
    let (negative, digits) = match text {
        [] => return Count::Blank,
        [b'-', rest @ ..] => (true, trimmed(rest)),
        [b'+', rest @ ..] => (false, trimmed(rest)),
        rest => (false, rest),
    };
    match whole(digits) {
        Some(value) => Count::Steps(if negative { value.saturating_neg() } else { value }),
        None => Count::Unreadable,
    }
}

/// Digits only, at least one and at most 18.
pub(super) fn whole(digits: &[u8]) -> Option<i64> {
    if digits.is_empty() || !digits.iter().all(u8::is_ascii_digit) {
        return None;
    }
    digits.iter().try_fold(0i64, |sum, d| {
        let next = sum.checked_mul(10)?.checked_add(i64::from(d.saturating_sub(b'0')))?;
        (next < 1_000_000_000_000_000_000).then_some(next)
    })
}

/// Nanometres in one step: 0.0001 inch or 0.001 mm.
pub(super) const fn step(unit: Unit) -> Nm {
    match unit {
        Unit::Inch => 2_540,
        Unit::Millimetre => 1_000,
    }
}

/// Steps as a length; `None` beyond one metre.
pub(super) fn length(steps: i64, unit: Unit) -> Option<Nm> {
    steps.checked_mul(step(unit)).filter(|nm| nm.unsigned_abs() <= COORDINATE_MAX.unsigned_abs())
}
