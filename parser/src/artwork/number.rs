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
        digits.iter().try_fold(0u32, |n, d| n.checked_mul(10)?.checked_add(u32::from(d - b'0')))
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
    let mut length = 0;
    while let Some(digit) = body.get(length).map(|b| b.wrapping_sub(b'0')).filter(|d| *d < 10) {
        value = if value > Coordinate::LARGEST { value } else { value * 10 + i64::from(digit) };
        length += 1;
    }
    let digits = length;
    let point = body.get(length) == Some(&b'.');
    if point {
        length += 1;
        length += body[length..].iter().take_while(|b| b.is_ascii_digit()).count();
    }
    if length == usize::from(point) {
        return Err(nom::Err::Error(nom::error::Error::new(input, nom::error::ErrorKind::Digit)));
    }
    let value = if negative { -value } else { value };
    Ok((&body[length..], Coordinate::new(value, digits, point)))
}

/// The text of an unsigned decimal.
pub fn unsigned_decimal(input: &[u8]) -> IResult<&[u8], &[u8]> {
    let whole = recognize(pair(digit1, opt(pair(nom::character::complete::char('.'), opt(digit1)))));
    let fraction = recognize(pair(nom::character::complete::char('.'), digit1));
    nom::branch::alt((whole, fraction)).parse(input)
}

/// A decimal in full, with the decimals no length needs cut off.
pub fn decimal(text: &[u8]) -> Option<Decimal> {
    if let Some(exact) = Decimal::parse(text) {
        return Some(exact);
    }
    let point = text.iter().position(|b| *b == b'.')?;
    let fraction = &text[point + 1..];
    if fraction.len() <= 12 || !fraction.iter().all(u8::is_ascii_digit) {
        return None;
    }
    Decimal::parse(&text[..point + 13])
}
