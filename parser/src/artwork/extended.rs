//! Extended commands: what stands between `%`.

use nom::Parser;
use nom::bytes::complete::tag;
use nom::character::complete::{char, one_of};
use nom::combinator::opt;
use nom::sequence::preceded;

use super::codes;
use super::command::{AttributeKind, FormatWord, ImageSetting, Text, What, Zeros};
use super::notes::{note, show};
use super::number;
use super::read::CommandReader;
use super::word::Word;
use crate::length::Unit;

impl CommandReader<'_> {
    /// One extended command.
    pub fn extended(&mut self, word: Word) {
        let text = word.text.of(self.bytes);
        let tail = word.text.without(2);
        let rest = &text[2..];
        match &text[..2] {
            b"FS" => self.format(&word, rest),
            b"MO" => self.unit(&word, rest),
            b"AD" => self.aperture(&word, tail),
            b"AM" => self.macro_template(&word, tail),
            b"LP" => self.polarity(&word, rest),
            b"LM" => self.mirror(&word, rest),
            b"LR" => self.turned(&word, rest, What::Rotation),
            b"LS" => self.turned(&word, rest, What::Scaling),
            b"AB" => self.block(&word, rest),
            b"SR" => self.repeat(&word, tail),
            b"TF" | b"TA" | b"TO" | b"TD" => self.attribute(&word, word.text, false),
            b"IP" => self.image(&word, ImageSetting::Polarity, tail),
            b"AS" => self.image(&word, ImageSetting::AxisSelect, tail),
            b"IR" => self.image(&word, ImageSetting::Rotation, tail),
            b"MI" => self.image(&word, ImageSetting::Mirror, tail),
            b"OF" => self.image(&word, ImageSetting::Offset, tail),
            b"SF" => self.image(&word, ImageSetting::Scale, tail),
            b"IN" | b"LN" => {
                note(&mut self.remarks, &codes::NAME, word.place, || {
                    (format!("the name {}", show(rest)), String::new())
                });
                self.push(&word, What::Name(tail));
            }
            _ => self.unknown_extended(&word),
        }
    }

    fn image(&mut self, word: &Word, setting: ImageSetting, value: Text) {
        self.push(word, What::Image { setting, value });
    }

    fn format(&mut self, word: &Word, rest: &[u8]) {
        let rest: Vec<u8> = rest.iter().copied().filter(|b| !b.is_ascii_whitespace()).collect();
        let Some((format, extra)) = format_word(&rest) else {
            let text = word.text.of(self.bytes);
            note(&mut self.remarks, &codes::FORMAT_MALFORMED, word.place, || {
                (show(text), "FSLAXndYnd with one digit each for n and d".into())
            });
            return;
        };
        if extra {
            let text = word.text.of(self.bytes);
            note(&mut self.remarks, &codes::FORMAT_EXTRA, word.place, || {
                (show(text), "FSLAXndYnd and nothing more".into())
            });
        }
        self.push(word, What::Format(format));
    }

    fn unit(&mut self, word: &Word, rest: &[u8]) {
        match rest.trim_ascii() {
            b"MM" => self.push(word, What::Unit(Unit::Millimetre)),
            b"IN" => self.push(word, What::Unit(Unit::Inch)),
            _ => self.malformed(word, "MOMM or MOIN"),
        }
    }

    /// `Dnn<template>[,parameters]`.
    fn aperture(&mut self, word: &Word, tail: Text) {
        let rest = tail.of(self.bytes);
        let Ok((after, number)) = preceded(char('D'), number::code).parse(rest) else {
            return self.malformed(word, "ADDnn, the template and its parameters");
        };
        let comma = after.iter().position(|b| *b == b',').unwrap_or(after.len());
        let tail = tail.without(rest.len().saturating_sub(after.len()));
        let (template, parameters) = (tail.first(comma), tail.without(comma).without(1));
        if comma == 0 {
            return self.malformed(word, "the name of a template behind the aperture number");
        }
        self.push(word, What::Aperture { number, template, parameters });
    }

    /// `<name>*<words>`; the word splitter leaves the whole of it in one piece.
    fn macro_template(&mut self, word: &Word, tail: Text) {
        let rest = tail.of(self.bytes);
        let star = rest.iter().position(|b| *b == b'*').unwrap_or(rest.len());
        let (name, body) = (tail.first(star), tail.without(star).without(1));
        if name.of(self.bytes).trim_ascii().is_empty() {
            return self.malformed(word, "a name behind AM");
        }
        self.push(word, What::Macro { name, body });
    }

    fn polarity(&mut self, word: &Word, rest: &[u8]) {
        match rest.trim_ascii() {
            b"D" => self.push(word, What::Clear(false)),
            b"C" => self.push(word, What::Clear(true)),
            _ => self.malformed(word, "LPD or LPC"),
        }
    }

    fn mirror(&mut self, word: &Word, rest: &[u8]) {
        match rest.trim_ascii() {
            b"N" => self.push(word, What::Mirror { x: false, y: false }),
            b"X" => self.push(word, What::Mirror { x: true, y: false }),
            b"Y" => self.push(word, What::Mirror { x: false, y: true }),
            b"XY" => self.push(word, What::Mirror { x: true, y: true }),
            _ => self.malformed(word, "LMN, LMX, LMY or LMXY"),
        }
    }

    fn turned(&mut self, word: &Word, rest: &[u8], what: fn(crate::length::Decimal) -> What) {
        match number::decimal(rest.trim_ascii()) {
            Some(value) => self.push(word, what(value)),
            None => self.malformed(word, "a decimal number"),
        }
    }

    fn block(&mut self, word: &Word, rest: &[u8]) {
        let rest = rest.trim_ascii();
        if rest.is_empty() {
            return self.push(word, What::BlockClose);
        }
        match preceded(char('D'), number::code).parse(rest) {
            Ok(([], number)) => self.push(word, What::BlockOpen(number)),
            _ => self.malformed(word, "ABDnn or AB"),
        }
    }

    /// `XnYmIdJd`, in any order and with any of them missing.
    fn repeat(&mut self, word: &Word, tail: Text) {
        let mut rest = tail.of(self.bytes);
        let (mut columns, mut rows) = (1, 1);
        let (mut step_x, mut step_y) = (Text::default(), Text::default());
        if rest.trim_ascii().is_empty() {
            return self.push(word, What::RepeatClose);
        }
        while let [letter, after @ ..] = rest {
            let length = after.iter().take_while(|b| !b.is_ascii_uppercase()).count();
            let value = tail.without(tail.of(self.bytes).len().saturating_sub(after.len())).first(length);
            let count = || {
                number::code(after[..length].trim_ascii())
                    .ok()
                    .filter(|(left, n)| left.is_empty() && *n > 0)
                    .map(|(_, n)| n)
            };
            match letter {
                b'X' => columns = count().unwrap_or(0),
                b'Y' => rows = count().unwrap_or(0),
                b'I' => step_x = value,
                b'J' => step_y = value,
                b if b.is_ascii_whitespace() => {}
                _ => columns = 0,
            }
            rest = &after[length..];
        }
        if columns == 0 || rows == 0 {
            let text = word.text.of(self.bytes);
            note(&mut self.remarks, &codes::REPEAT_MALFORMED, word.place, || {
                (show(text), "SRXnYmIdJd with whole numbers of 1 or more".into())
            });
            (columns, rows) = (1, 1);
        }
        self.push(word, What::RepeatOpen { columns, rows, step_x, step_y });
    }

    /// An attribute command, real or carried by a comment.
    pub fn attribute(&mut self, word: &Word, text: Text, in_comment: bool) {
        let whole = text.of(self.bytes);
        let body = text.without(2);
        let kind = match whole.get(1) {
            Some(b'F') => AttributeKind::File,
            Some(b'A') => AttributeKind::Aperture,
            Some(b'O') => AttributeKind::Object,
            _ => return self.push(word, What::AttributeDelete { name: body, in_comment }),
        };
        self.push(word, What::Attribute { kind, text: body, in_comment });
    }
}

/// The format and whether more stands there than belongs.
fn format_word(input: &[u8]) -> Option<(FormatWord, bool)> {
    type Failed<'a> = nom::error::Error<&'a [u8]>;
    let (rest, letters) = opt(one_of::<_, _, Failed>("LTDlt")).parse(input).ok()?;
    let zeros = match letters {
        Some('L') => Zeros::LeadingOmitted,
        Some('T') => Zeros::TrailingOmitted,
        Some(_) => Zeros::Unknown,
        None => Zeros::Unsaid,
    };
    let (rest, notation) = opt(one_of::<_, _, Failed>("AI")).parse(rest).ok()?;
    let (mut rest, mut extra) = (rest, false);
    while let Ok((next, _)) = (one_of::<_, _, Failed>("NGDM"), nom::character::complete::digit1).parse(rest) {
        (rest, extra) = (next, true);
    }
    let (rest, x) = axis(b"X", rest)?;
    let (rest, y) = axis(b"Y", rest)?;
    let format = FormatWord { zeros, incremental: notation == Some('I'), x, y };
    Some((format, extra || !rest.is_empty()))
}

fn axis<'a>(letter: &'static [u8], input: &'a [u8]) -> Option<(&'a [u8], (u8, u8))> {
    type Failed<'a> = nom::error::Error<&'a [u8]>;
    let digit = || one_of::<_, _, Failed>("0123456789");
    let (rest, (whole, part)) = preceded(tag(letter), (digit(), digit())).parse(input).ok()?;
    let value = |digit: char| digit.to_digit(10).and_then(|d| u8::try_from(d).ok());
    Some((rest, (value(whole)?, value(part)?)))
}
