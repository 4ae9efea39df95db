//! Words and numbers of a line: a letter and the number behind it, as written.

use std::fmt;

use nom::bytes::complete::take_while;
use nom::character::complete::{char, digit0, one_of, satisfy, space0};
use nom::combinator::{opt, recognize};
use nom::{IResult, Parser};

/// A number as written. The zeros matter: how many digits there are decides what it is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Number {
    /// Whether a minus stands before it.
    pub negative: bool,
    /// All digits as one integer, without sign and point.
    pub digits: i64,
    /// How many digits were written.
    pub length: u8,
    /// How many of them stand behind the point; `None` without a point.
    pub decimals: Option<u8>,
}

impl Number {
    /// Whether the first of several digits is a zero.
    #[must_use]
    pub fn leading_zero(&self) -> bool {
        self.length > 1 && self.digits < 10i64.saturating_pow(u32::from(self.length.saturating_sub(1)))
    }

    /// Whether the last digit is a zero.
    #[must_use]
    pub const fn trailing_zero(&self) -> bool {
        self.digits % 10 == 0
    }

    /// The digits with their sign.
    #[must_use]
    pub const fn signed(&self) -> i64 {
        if self.negative { self.digits.saturating_neg() } else { self.digits }
    }
}

impl fmt::Display for Number {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.negative { "-" } else { "" };
        let text = format!("{:0width$}", self.digits, width = usize::from(self.length));
        match self.decimals {
            None => write!(f, "{sign}{text}"),
            Some(decimals) => {
                let (whole, rest) = text.split_at(usize::from(self.length.saturating_sub(decimals)));
                write!(f, "{sign}{whole}.{rest}")
            }
        }
    }
}

/// What stands behind a letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Value {
    /// Nothing.
    Empty,
    /// A number.
    Number(Number),
    /// A sign or point without digits, or more than 18 digits.
    Unreadable,
}

/// A letter and what stands behind it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Word {
    /// The letter, upper case.
    pub letter: u8,
    /// The number behind it.
    pub value: Value,
    /// Column in bytes, from 1.
    pub column: u32,
}

impl Word {
    /// The number, where there is one.
    #[must_use]
    pub const fn number(&self) -> Option<Number> {
        match self.value {
            Value::Number(number) => Some(number),
            Value::Empty | Value::Unreadable => None,
        }
    }

    /// The number as a count or code: whole, without sign.
    #[must_use]
    pub fn count(&self) -> Option<u32> {
        let number = self.number().filter(|n| n.decimals.is_none() && !n.negative)?;
        u32::try_from(number.digits).ok()
    }
}

impl fmt::Display for Word {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letter = char::from(self.letter);
        match self.value {
            Value::Empty => write!(f, "{letter}"),
            Value::Number(number) => write!(f, "{letter}{number}"),
            Value::Unreadable => write!(f, "{letter}?"),
        }
    }
}

type Parts<'a> = (Option<char>, &'a [u8], Option<&'a [u8]>);

fn parts(input: &[u8]) -> IResult<&[u8], Parts<'_>> {
    let fraction = (char('.'), digit0).map(|(_, digits)| digits);
    (opt(one_of("+-")), digit0, opt(fraction)).parse(input)
}

fn value_of((sign, whole, fraction): Parts<'_>) -> Value {
    let length = whole.len().saturating_add(fraction.map_or(0, <[u8]>::len));
    if length == 0 {
        let bare = sign.is_none() && fraction.is_none();
        return if bare { Value::Empty } else { Value::Unreadable };
    }
    if length > 18 {
        return Value::Unreadable;
    }
    let all = whole.iter().chain(fraction.unwrap_or_default());
    let digits = all.fold(0i64, |sum, d| sum.saturating_mul(10).saturating_add(i64::from(d.wrapping_sub(b'0'))));
    Value::Number(Number {
        negative: sign == Some('-'),
        digits,
        length: length as u8,
        decimals: fraction.map(|f| f.len() as u8),
    })
}

/// A number at the start of `input`, and what follows it.
#[must_use]
pub fn number(input: &[u8]) -> Option<(Number, &[u8])> {
    let (rest, found) = parts(input).ok()?;
    match value_of(found) {
        Value::Number(number) => Some((number, rest)),
        Value::Empty | Value::Unreadable => None,
    }
}

fn word(input: &[u8]) -> IResult<&[u8], (char, Value)> {
    let letter = satisfy(|c| c.is_ascii_alphabetic());
    let (rest, (letter, _, found, _)) = (letter, space0, parts, space0).parse(input)?;
    Ok((rest, (letter, value_of(found))))
}

/// Leading letters of a line, such as `METRIC` or `X`.
#[must_use]
pub fn name(line: &[u8]) -> &[u8] {
    let found: IResult<&[u8], &[u8]> = recognize(take_while(|b: u8| b.is_ascii_alphabetic())).parse(line);
    found.map_or(&[], |(_, name)| name)
}

/// Reads the words of a line into `into`; gives the column of the first byte that is no word, if any.
pub fn words(line: &[u8], first_column: u32, into: &mut Vec<Word>) -> Option<u32> {
    let mut rest = line;
    while !rest.is_empty() {
        let column = first_column.saturating_add(line.len().saturating_sub(rest.len()) as u32);
        match word(rest) {
            Ok((after, (letter, value))) => {
                into.push(Word { letter: letter.to_ascii_uppercase() as u8, value, column });
                rest = after;
            }
            Err(_) => return Some(column),
        }
    }
    None
}
