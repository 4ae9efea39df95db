//! JSON (RFC 8259) with the place of every value.

use super::{codes, text};
use crate::limits::{LimitReached, Limits};
use crate::remark::{Code, Place, Remarks};

/// More values than any job file has.
const MOST_VALUES: u64 = 200_000;

/// Deeper than any job file goes; the reader calls itself once a level.
const MOST_NESTING: u64 = 64;

/// A value and where it begins.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub place: Place,
    pub value: Value,
}

/// What a value is.
#[derive(Clone, Debug)]
pub(super) enum Value {
    Null,
    Truth(bool),
    /// As written.
    Number(String),
    Text(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub key: String,
    pub place: Place,
    pub node: Node,
}

impl Value {
    /// What it is, in plain words.
    pub fn words(&self) -> String {
        match self {
            Self::Null => "null".to_owned(),
            Self::Truth(truth) => truth.to_string(),
            Self::Number(number) => format!("the number {}", text::show(number.as_bytes())),
            Self::Text(written) => format!("the text {}", text::show(written.as_bytes())),
            Self::List(list) => format!("a list of {}", list.len()),
            Self::Table(table) => format!("a table of {}", table.len()),
        }
    }
}

/// What a step of reading gives: nothing once the text cannot be followed any further.
type Step<T> = Result<Option<T>, LimitReached>;

/// Reads the one value of a file, from byte `start`; what stands before an error is kept.
pub(super) fn read(bytes: &[u8], start: usize, limits: &Limits, remarks: &mut Remarks) -> Step<Node> {
    let mut reader =
        Reader { bytes, at: start, line: 1, line_start: start, values: 0, stopped: false, limits, remarks };
    reader.skip();
    let root = reader.value(0)?;
    reader.skip();
    if !reader.stopped && reader.peek().is_some() {
        let found = format!("{} behind the closing brace", text::show(bytes.get(reader.at..).unwrap_or_default()));
        reader.note(&codes::DATA_AFTER_END, found, "nothing more");
    }
    Ok(root)
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    line_start: usize,
    values: u64,
    stopped: bool,
    limits: &'a Limits,
    remarks: &'a mut Remarks,
}

impl Reader<'_> {
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    fn place(&self) -> Place {
        let column = self.at.saturating_sub(self.line_start).saturating_add(1);
        Place { line: self.line, column: u32::try_from(column).unwrap_or(u32::MAX), offset: self.at as u32 }
    }

    fn note(&mut self, code: &'static Code, found: impl Into<String>, expected: &str) {
        self.remarks.note(code, self.place(), found, expected);
    }

    /// Goes one byte on, counting lines that end at CR, LF or CR LF.
    fn step(&mut self) {
        let byte = self.peek();
        self.at = self.at.saturating_add(1);
        let ends = byte == Some(b'\n') || (byte == Some(b'\r') && self.peek() != Some(b'\n'));
        if ends {
            self.line = self.line.saturating_add(1);
            self.line_start = self.at;
        }
    }

    fn skip(&mut self) {
        while self.peek().is_some_and(|b| b.is_ascii_whitespace()) {
            self.step();
        }
    }

    /// Tells that the text cannot be followed from here.
    fn stop(&mut self, expected: &str) {
        if self.stopped {
            return;
        }
        self.stopped = true;
        match self.bytes.get(self.at..).filter(|rest| !rest.is_empty()) {
            Some(rest) => {
                let found = text::show(rest);
                self.note(&codes::SYNTAX, found, expected);
            }
            None => self.note(&codes::CUT_SHORT, "the end of the file", expected),
        }
    }

    fn value(&mut self, depth: u64) -> Step<Node> {
        self.values = self.values.saturating_add(1);
        Limits::check("objects", self.limits.objects.min(MOST_VALUES), self.values, self.line)?;
        Limits::check("nesting", self.limits.nesting.min(MOST_NESTING), depth, self.line)?;
        let place = self.place();
        let value = match self.peek() {
            Some(b'{') => Some(Value::Table(self.table(depth)?)),
            Some(b'[') => Some(Value::List(self.list(depth)?)),
            Some(b'"') => self.text().map(Value::Text),
            Some(b'-' | b'0'..=b'9') => self.number(),
            _ => self.word(),
        };
        Ok(value.map(|value| Node { place, value }))
    }

    /// Whether a list or table goes on: `Some(true)` at a further member, `Some(false)` at its end.
    fn goes_on(&mut self, first: bool, end: u8) -> Option<bool> {
        self.skip();
        if self.peek() == Some(end) {
            self.step();
            return Some(false);
        }
        if first {
            return Some(true);
        }
        if self.peek() != Some(b',') {
            self.stop(&format!("a comma or {}", char::from(end)));
            return None;
        }
        self.step();
        self.skip();
        if self.peek() == Some(end) {
            self.note(&codes::LENIENT, format!("a comma before {}", char::from(end)), "commas between members only");
            self.step();
            return Some(false);
        }
        Some(true)
    }

    fn list(&mut self, depth: u64) -> Result<Vec<Node>, LimitReached> {
        self.step();
        let mut list = Vec::new();
        while self.goes_on(list.is_empty(), b']') == Some(true) {
            let Some(node) = self.value(depth.saturating_add(1))? else { break };
            list.push(node);
            if self.stopped {
                break;
            }
        }
        Ok(list)
    }

    fn table(&mut self, depth: u64) -> Result<Vec<Entry>, LimitReached> {
        self.step();
        let mut table = Vec::new();
        while self.goes_on(table.is_empty(), b'}') == Some(true) {
            let place = self.place();
            if self.peek() != Some(b'"') {
                self.stop("a key in quotes");
                break;
            }
            let Some(key) = self.text() else { break };
            self.skip();
            if self.peek() != Some(b':') {
                self.stop("a colon behind the key");
                break;
            }
            self.step();
            self.skip();
            let Some(node) = self.value(depth.saturating_add(1))? else { break };
            table.push(Entry { key, place, node });
            if self.stopped {
                break;
            }
        }
        Ok(table)
    }

    fn number(&mut self) -> Option<Value> {
        let start = self.at;
        while self.peek().is_some_and(|b| matches!(b, b'0'..=b'9' | b'.' | b'e' | b'E' | b'+' | b'-')) {
            self.at = self.at.saturating_add(1);
        }
        let written = String::from_utf8_lossy(self.bytes.get(start..self.at)?).into_owned();
        Some(Value::Number(written))
    }

    fn word(&mut self) -> Option<Value> {
        let words = [("true", Value::Truth(true)), ("false", Value::Truth(false)), ("null", Value::Null)];
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let found = words.into_iter().find(|(word, _)| rest.starts_with(word.as_bytes()));
        match found {
            Some((word, value)) => {
                self.at = self.at.saturating_add(word.len());
                Some(value)
            }
            None => {
                self.stop("a value");
                None
            }
        }
    }

    /// A text in quotes; the next byte is its first quote.
    fn text(&mut self) -> Option<String> {
        self.step();
        let mut out: Vec<u8> = Vec::new();
        loop {
            match self.peek() {
                Some(b'"') => break self.step(),
                Some(b'\\') => self.escape(&mut out),
                Some(byte) => {
                    if byte < b' ' {
                        self.note(&codes::LENIENT, "a line break or control character in a text", "an escape");
                    }
                    out.push(byte);
                    self.step();
                }
                None => {
                    self.stop("the closing quote of a text");
                    return None;
                }
            }
        }
        Some(self.utf8(out))
    }

    fn utf8(&mut self, bytes: Vec<u8>) -> String {
        String::from_utf8(bytes).unwrap_or_else(|bad| {
            self.note(&codes::TEXT_BYTES, "bytes that are not UTF-8", "UTF-8");
            String::from_utf8_lossy(bad.as_bytes()).into_owned()
        })
    }

    /// An escape; the next byte is its backslash.
    fn escape(&mut self, out: &mut Vec<u8>) {
        let letter = self.bytes.get(self.at.saturating_add(1)).copied();
        let plain = match letter {
            Some(byte @ (b'"' | b'\\' | b'/')) => byte,
            Some(b'b') => 8,
            Some(b'f') => 12,
            Some(b'n') => b'\n',
            Some(b'r') => b'\r',
            Some(b't') => b'\t',
            Some(b'u') => return self.code_point(out),
            _ => {
                self.note(&codes::LENIENT, "a backslash that begins no escape", "\\\\ for a backslash");
                self.step();
                return out.push(b'\\');
            }
        };
        self.at = self.at.saturating_add(2);
        out.push(plain);
    }

    /// `\\uXXXX`, or two of them for a character beyond the first plane.
    fn code_point(&mut self, out: &mut Vec<u8>) {
        let first = self.hex(self.at.saturating_add(2));
        let low = |r: &Self| {
            let next = r.bytes.get(r.at.saturating_add(6)..r.at.saturating_add(8))?;
            r.hex(r.at.saturating_add(8)).filter(|low| next == b"\\u" && (0xDC00..0xE000).contains(low))
        };
        let (character, length) = match first {
            Some(high @ 0xD800..=0xDBFF) => match low(self) {
                Some(low) => (char::from_u32(0x1_0000u32.saturating_add(((high & 0x3FF) << 10) | (low & 0x3FF))), 12),
                None => (None, 6),
            },
            Some(code) => (char::from_u32(code), 6),
            None => (None, 2),
        };
        if character.is_none() {
            self.note(&codes::LENIENT, "an escape that stands for no character", "four hexadecimal digits");
        }
        let mut buffer = [0; 4];
        out.extend_from_slice(character.unwrap_or('\u{FFFD}').encode_utf8(&mut buffer).as_bytes());
        self.at = self.at.saturating_add(length);
    }

    fn hex(&self, at: usize) -> Option<u32> {
        let digits = self.bytes.get(at..at.saturating_add(4))?;
        if !digits.iter().all(u8::is_ascii_hexdigit) {
            return None;
        }
        u32::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()
    }
}
