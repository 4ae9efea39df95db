//! Numbers of JSON, exactly as written.

use crate::length::Decimal;

/// Most digits kept; what lies behind them is far below a nanometre.
const MOST_DIGITS: usize = 18;

/// Exponents beyond this are nought or out of any range.
const MOST_EXPONENT: i64 = 30;

/// Reads `-?digits[.digits][e[+-]digits]`; `None` for anything else. What no integer holds comes out
/// as the largest one, which is out of every range.
pub(super) fn decimal(text: &str) -> Option<Decimal> {
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, whole_exponent(exponent)?),
        None => (text, 0),
    };
    let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let fraction = fraction.get(..MOST_DIGITS.saturating_sub(whole.len()).min(fraction.len()))?;
    let joined = format!("{whole}{fraction}");
    if is_long(&joined) {
        return Some(beyond(whole));
    }
    let digits = Decimal::parse(joined.as_bytes())?.digits;
    let decimals = (fraction.len() as i64).saturating_sub(exponent);
    Some(shifted(digits, decimals).unwrap_or_else(|| beyond(whole)))
}

/// More digits than an integer holds.
fn is_long(text: &str) -> bool {
    let digits = text.trim_start_matches('-');
    digits.len() > MOST_DIGITS && digits.bytes().all(|b| b.is_ascii_digit())
}

fn beyond(whole: &str) -> Decimal {
    Decimal { digits: if whole.starts_with('-') { -i64::MAX } else { i64::MAX }, decimals: 0 }
}

fn whole_exponent(text: &str) -> Option<i64> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    if digits.is_empty() || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let size = digits.parse().unwrap_or(i64::MAX);
    Some(if text.starts_with('-') { size.saturating_neg() } else { size })
}

/// `digits` × 10^-`decimals`, where `decimals` may be below zero.
fn shifted(digits: i64, decimals: i64) -> Option<Decimal> {
    if digits == 0 || decimals > MOST_EXPONENT {
        return Some(Decimal { digits: 0, decimals: 0 });
    }
    if decimals >= 0 {
        return Some(Decimal { digits, decimals: u32::try_from(decimals).ok()? });
    }
    let factor = 10i64.checked_pow(u32::try_from(decimals.checked_neg()?).ok()?)?;
    Some(Decimal { digits: digits.checked_mul(factor)?, decimals: 0 })
}
