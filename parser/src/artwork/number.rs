//! Numbers as they stand in words.

use nom::character::complete::digit1;
use nom::combinator::{map_opt, opt, recognize};
use nom::sequence::pair;
use nom::{IResult, Parser};

use super::coordinate::Coordinate;
use crate::length::Decimal;

/// Digits without sign as a number; `None` beyond 32 bits.
pub fn code(input: &[u8]) -> IResult<&[u8], u32> {
    map_opt(digit1, |digits: &[u8]| {
        digits.iter().try_fold(0u32, |n, d| n.checked_mul(10)?.checked_add(u32::from(d.wrapping_sub(b'0'))))
    })
    .parse(input)
}

/// A coordinate: sign, digits, and the decimal point that should not be there.
///
/// The one hot parser of the reader, so it walks the digits itself.
#[inline]
pub fn coordinate(input: &[u8]) -> IResult<&[u8], Coordinate> {
    let (negative, body) = match input {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        rest => (false, rest),
    };
    let mut value: i64 = 0;
    let mut rest = body;
    // Sixteen digits are past the largest value kept, so that more of them saturate to "too large".
    while let [byte @ b'0'..=b'9', tail @ ..] = rest {
        value = value.saturating_mul(10).saturating_add(i64::from(byte.wrapping_sub(b'0')));
        rest = tail;
    }
    let digits = body.len().saturating_sub(rest.len());
    let mut any = digits > 0;
    let mut point = false;
    if let [b'.', tail @ ..] = rest {
        let decimals = tail.iter().take_while(|b| b.is_ascii_digit()).count();
        (point, any) = (true, any || decimals > 0);
        rest = tail.get(decimals..).unwrap_or_default();
    }
    if !any {
        return Err(nom::Err::Error(nom::error::Error::new(input, nom::error::ErrorKind::Digit)));
    }
    let value = if negative { value.saturating_neg() } else { value };
    Ok((rest, Coordinate::new(value, digits, point)))
}

/// The text of an unsigned decimal.
pub fn unsigned_decimal(input: &[u8]) -> IResult<&[u8], &[u8]> {
    let whole = recognize(pair(digit1, opt(pair(nom::character::complete::char('.'), opt(digit1)))));
    let fraction = recognize(pair(nom::character::complete::char('.'), digit1));
    nom::branch::alt((whole, fraction)).parse(input)
}

/// Decimals beyond these say nothing of a length: a millionth of a nanometre.
const MOST_DECIMALS: usize = 12;

/// A decimal in full, with the decimals no length needs cut off.
pub fn decimal(text: &[u8]) -> Option<Decimal> {
    if let Some(exact) = Decimal::parse(text) {
        return Some(exact);
    }
    let point = text.iter().position(|b| *b == b'.')?;
    let (whole, fraction) = text.split_at_checked(point.checked_add(1)?)?;
    if fraction.len() <= MOST_DECIMALS || !fraction.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Decimal::parse(text.get(..whole.len().checked_add(MOST_DECIMALS)?)?)
}
