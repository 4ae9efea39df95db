//! Comments: attributes, plating, tool lists and words about the format.

use nom::bytes::complete::{tag_no_case, take_while};
use nom::character::complete::{char, digit1, multispace0, one_of};
use nom::combinator::opt;
use nom::{IResult, Parser};

use super::hits::{Plating, Zeros};
use super::program::{CommentSize, CommentTool, SizeUnit};
use super::words;
use crate::length::{Decimal, Unit};

/// What a comment says, where it says something a reader can use.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Comment {
    /// `#@! TF.name,fields`.
    FileAttribute(String, Vec<String>),
    /// `#@! TA.name,fields`.
    ToolAttribute(String, Vec<String>),
    /// `#@! TD` with the name, if any.
    Delete(Option<String>),
    /// `TYPE=PLATED` or `TYPE=NON_PLATED`: holds for the tools that follow.
    Type(Plating),
    /// `FILE_FORMAT=i:d`.
    Picture(u32, u32),
    /// `FORMAT={…}`.
    Format(FormatWords),
    /// A tool and what is said of it.
    Tool(u32, CommentTool),
    /// Anything else.
    Other,
}

/// The fields of a `FORMAT={…}` comment.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct FormatWords {
    /// Digits before and behind the point.
    pub picture: Option<(u32, u32)>,
    /// Unit.
    pub unit: Option<Unit>,
    /// Zeros kept.
    pub zeros: Option<Zeros>,
    /// Whether numbers carry points.
    pub decimal: bool,
}

/// Reads a comment, the semicolon already taken off.
#[must_use]
pub fn read(text: &[u8]) -> Comment {
    let text = text.trim_ascii();
    if let Some(rest) = text.strip_prefix(b"#@!") {
        return attribute(&String::from_utf8_lossy(rest.trim_ascii()));
    }
    let upper = text.to_ascii_uppercase();
    if let Some(rest) = upper.strip_prefix(b"TYPE=") {
        return plating_of(rest).map_or(Comment::Other, Comment::Type);
    }
    if let Some(rest) = upper.strip_prefix(b"FILE_FORMAT=") {
        return picture(rest).map_or(Comment::Other, |(i, d)| Comment::Picture(i, d));
    }
    if let Some(rest) = upper.strip_prefix(b"FORMAT=") {
        return Comment::Format(format_words(rest));
    }
    tool(&upper).map_or(Comment::Other, |(number, tool)| Comment::Tool(number, tool))
}

fn fields(text: &str) -> Option<(String, Vec<String>)> {
    let mut parts = text.split(',').map(|f| f.trim().to_owned());
    let name = parts.next().filter(|n| !n.is_empty())?;
    Some((name, parts.collect()))
}

fn attribute(text: &str) -> Comment {
    let text = text.trim_end_matches('*');
    let found = match (text.get(..2), text.get(2..)) {
        (Some("TF"), Some(rest)) => fields(rest).map(|(n, v)| Comment::FileAttribute(n, v)),
        (Some("TA"), Some(rest)) => fields(rest).map(|(n, v)| Comment::ToolAttribute(n, v)),
        (Some("TD"), Some(rest)) => Some(Comment::Delete(fields(rest).map(|(n, _)| n))),
        _ => None,
    };
    found.unwrap_or(Comment::Other)
}

fn plating_of(upper: &[u8]) -> Option<Plating> {
    match upper.trim_ascii() {
        b"PLATED" => Some(Plating::Plated),
        b"NON_PLATED" | b"NON-PLATED" | b"NONPLATED" | b"UNPLATED" => Some(Plating::NonPlated),
        _ => None,
    }
}

/// A picture such as `3:5` or `3.5`, within what a reader can use.
#[must_use]
pub fn picture(text: &[u8]) -> Option<(u32, u32)> {
    let found: IResult<&[u8], _> = (digit1, one_of(":."), digit1).parse(text.trim_ascii());
    let (_, (integer, _, decimals)) = found.ok()?;
    let count = |d: &[u8]| std::str::from_utf8(d).ok()?.parse::<u32>().ok();
    let (integer, decimals) = (count(integer)?, count(decimals)?);
    ((1..=6).contains(&integer) && decimals <= 7).then_some((integer, decimals))
}

fn format_words(upper: &[u8]) -> FormatWords {
    let body: &[u8] = upper.trim_ascii();
    let body = body.strip_prefix(b"{").unwrap_or(body);
    let body = body.strip_suffix(b"}").unwrap_or(body);
    let mut words = FormatWords::default();
    for field in body.split(|b| *b == b'/').map(<[u8]>::trim_ascii) {
        match field {
            b"METRIC" | b"MM" => words.unit = Some(Unit::Millimetre),
            b"INCH" | b"INCHES" => words.unit = Some(Unit::Inch),
            b"DECIMAL" => words.decimal = true,
            b"SUPPRESS LEADING ZEROS" | b"KEEP TRAILING ZEROS" => words.zeros = Some(Zeros::Trailing),
            b"SUPPRESS TRAILING ZEROS" | b"KEEP LEADING ZEROS" => words.zeros = Some(Zeros::Leading),
            _ => words.picture = words.picture.or_else(|| picture(field)),
        }
    }
    words
}

fn tool(upper: &[u8]) -> Option<(u32, CommentTool)> {
    holesize(upper).or_else(|| tool_line(upper))
}

/// `HOLESIZE 1. = 0.30 TOLERANCE = … PLATED MM QUANTITY = 52`.
fn holesize(upper: &[u8]) -> Option<(u32, CommentTool)> {
    let head: IResult<&[u8], _> =
        (tag_no_case("HOLESIZE"), multispace0, digit1, opt(char('.')), multispace0, char('='), multispace0)
            .parse(upper);
    let (rest, (_, _, number, ..)) = head.ok()?;
    sized(number, rest)
}

/// `T01 = 0.3MM`, or without the equals sign where a unit follows.
fn tool_line(upper: &[u8]) -> Option<(u32, CommentTool)> {
    let head: IResult<&[u8], _> = (char('T'), digit1, multispace0, opt(one_of("=:")), multispace0).parse(upper);
    let (rest, (_, number, _, equals, _)) = head.ok()?;
    let found = sized(number, rest)?;
    (equals.is_some() || found.1.size.is_some_and(|s| s.unit.is_some())).then_some(found)
}

fn sized(number: &[u8], rest: &[u8]) -> Option<(u32, CommentTool)> {
    let number = std::str::from_utf8(number).ok()?.parse().ok()?;
    let (size, rest) = words::number(rest)?;
    let mut tool = CommentTool::default();
    let unit = unit_in(rest);
    tool.size = Some(CommentSize { number: size, unit });
    tool.plating = split(rest).find_map(plating_of);
    tool.quantity = quantity(rest);
    Some((number, tool))
}

fn split(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    text.split(|b| b.is_ascii_whitespace() || *b == b',').filter(|w| !w.is_empty())
}

fn unit_in(text: &[u8]) -> Option<SizeUnit> {
    split(text).find_map(|word| match word {
        b"MM" => Some(SizeUnit::Millimetre),
        b"IN" | b"INCH" | b"INCHES" | b"\"" => Some(SizeUnit::Inch),
        b"MIL" | b"MILS" => Some(SizeUnit::Mil),
        _ => None,
    })
}

fn quantity(text: &[u8]) -> Option<u32> {
    let word = b"QUANTITY";
    let at = text.windows(word.len()).position(|w| w == word)?;
    let after: IResult<&[u8], _> =
        (take_while(|b: u8| b.is_ascii_whitespace() || b == b'='), digit1).parse(text.get(at..)?.strip_prefix(word)?);
    let (_, (_, digits)) = after.ok()?;
    std::str::from_utf8(digits).ok()?.parse().ok()
}

/// How much larger and how much smaller holes may come out: `0.05,0.02`.
#[must_use]
pub fn drill_tolerance(values: &[String]) -> Option<(Decimal, Decimal)> {
    let [plus, minus] = values else { return None };
    Some((Decimal::parse(plus.as_bytes())?, Decimal::parse(minus.as_bytes())?))
}

/// Plating and function of a tool: `Plated,PTH,ViaDrill` or plain `ViaDrill`.
#[must_use]
pub fn aperture_function(values: &[String]) -> (Option<Plating>, Option<String>) {
    let plating = match values.first().map(String::as_str) {
        Some("Plated") => Some(Plating::Plated),
        Some("NonPlated") => Some(Plating::NonPlated),
        _ => None,
    };
    let skip = if plating.is_some() { 2 } else { 0 };
    let function = values.get(skip..).filter(|f| !f.is_empty()).map(|f| f.join(","));
    (plating, function)
}
