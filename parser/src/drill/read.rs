//! From bytes to a [`Program`]: lines, phases and words. Nothing is worth anything yet.

use std::collections::BTreeMap;

use super::codes;
use super::comment::{self, Comment};
use super::evidence::Evidence;
use super::hits::{Plating, Statements};
use super::program::{CommentTool, Line, Program, ToolDeclaration};
use super::words::{self, Number, Value, Word};
use crate::image::FileAttribute;
use crate::length::{Decimal, Unit};
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remarks};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Phase {
    /// Before any header or command.
    Start,
    /// Between `M48` and `%`.
    Header,
    /// Commands.
    Body,
    /// Behind `M30`.
    Ended,
}

/// State of reading.
pub(super) struct Reader<'a> {
    pub limits: &'a Limits,
    pub phase: Phase,
    pub header_seen: bool,
    pub work_seen: bool,
    pub remarks: Remarks,
    pub statements: Statements,
    pub evidence: Evidence,
    pub tools: Vec<ToolDeclaration>,
    pub lines: Vec<Line>,
    pub words: Vec<Word>,
    pub command_set: Option<u32>,
    pub last_work: usize,
    by_number: BTreeMap<u32, usize>,
    comment_tools: BTreeMap<u32, CommentTool>,
    type_plating: Option<(Plating, u32)>,
    function: Option<(Option<Plating>, Option<String>)>,
    tolerance: Option<(Decimal, Decimal)>,
    in_message: bool,
    scratch: Vec<Word>,
}

/// Reads a drill or rout program. Bad data become remarks; lines end at CR, LF or CR LF.
///
/// # Errors
/// [`LimitReached`] where the file is larger, or holds more commands, than `limits` allow.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Program, LimitReached> {
    Limits::check("bytes", limits.bytes.min(u64::from(u32::MAX)), bytes.len() as u64, 1)?;
    let mut reader = Reader::new(limits);
    let mut end = Place { line: 1, column: 1, offset: 0 };
    for (place, text) in lines(bytes) {
        reader.line(place, text)?;
        end = place;
    }
    let blank = lines(bytes).next().is_none();
    Ok(reader.finish(end, blank))
}

/// The lines of a file with their places, blank ones left out.
pub(super) fn lines(bytes: &[u8]) -> impl Iterator<Item = (Place, &[u8])> {
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let mut offset = bytes.len().saturating_sub(body.len());
    let mut number = 0u32;
    let mut after_cr = false;
    body.split_inclusive(|b| matches!(b, b'\r' | b'\n')).filter_map(move |line| {
        let start = offset;
        offset = offset.saturating_add(line.len());
        let rest_of_crlf = after_cr && line == b"\n";
        after_cr = line.ends_with(b"\r");
        number = number.saturating_add(u32::from(!rest_of_crlf));
        let is_blank = |b: &u8| b.is_ascii_whitespace() || b.is_ascii_control();
        let skip = line.iter().position(|b| !is_blank(b))?;
        let last = line.iter().rposition(|b| !is_blank(b))?;
        let column = (skip as u32).saturating_add(1);
        let place = Place { line: number, column, offset: start.saturating_add(skip) as u32 };
        Some((place, line.get(skip..=last)?))
    })
}

/// Text of a file for a remark: printable, and not longer than a line of print.
pub(super) fn quoted(text: &[u8]) -> String {
    let shown = text.get(..text.len().min(40)).unwrap_or(text);
    let dots = if shown.len() < text.len() { "…" } else { "" };
    format!("\"{}{dots}\"", shown.escape_ascii().to_string().replace("\\\"", "\"").replace("\\'", "'"))
}

impl<'a> Reader<'a> {
    fn new(limits: &'a Limits) -> Self {
        Self {
            limits,
            phase: Phase::Start,
            header_seen: false,
            work_seen: false,
            remarks: Remarks::default(),
            statements: Statements::default(),
            evidence: Evidence::default(),
            tools: Vec::new(),
            lines: Vec::new(),
            words: Vec::new(),
            command_set: None,
            last_work: 0,
            by_number: BTreeMap::new(),
            comment_tools: BTreeMap::new(),
            type_plating: None,
            function: None,
            tolerance: None,
            in_message: false,
            scratch: Vec::new(),
        }
    }

    fn line(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        if self.in_message {
            self.in_message = text.ends_with(b"\\");
            return Ok(());
        }
        let (text, note) = match text.iter().position(|b| *b == b';') {
            Some(at) => (text.get(..at).unwrap_or_default().trim_ascii(), text.get(at.saturating_add(1)..)),
            None => (text, None),
        };
        if self.phase != Phase::Ended {
            self.command(place, text)?;
        } else if !text.is_empty() && text != b"%" {
            let expected = "nothing behind M30";
            self.remarks.note(&codes::DATA_AFTER_END, place, quoted(text), expected);
        }
        if let Some(note) = note {
            self.comment(place, note)?;
        }
        Ok(())
    }

    fn command(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        match text {
            [] | [b'(', ..] => Ok(()),
            [b'/', rest @ ..] if self.phase != Phase::Header => {
                self.remarks.note(&codes::BLOCK_DELETE, place, quoted(text), "");
                self.command(place, rest.trim_ascii_start())
            }
            b"%" => self.percent(place),
            [b'$', ..] => {
                self.remarks.note(&codes::CAMERA, place, quoted(text), "");
                Ok(())
            }
            _ if self.phase == Phase::Header => self.header_line(place, text),
            _ => self.body_line(place, text),
        }
    }

    fn percent(&mut self, place: Place) -> Result<(), LimitReached> {
        match self.phase {
            Phase::Start | Phase::Header => {
                // Tools named so far were declared, not selected.
                self.lines.retain(|line| !line.in_header || line.tool.is_none());
                if self.phase == Phase::Header || !self.tools.is_empty() {
                    self.phase = Phase::Body;
                }
                Ok(())
            }
            Phase::Body => self.push_code(place, b'M', 25),
            Phase::Ended => Ok(()),
        }
    }

    /// A line outside the header: settings, messages, or words.
    pub(super) fn body_line(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        let upper = text.to_ascii_uppercase();
        if upper == b"M48" {
            return self.begin_header(place);
        }
        if upper == b"M95" {
            return Ok(());
        }
        if let Some(code) = message_code(&upper) {
            return self.message(place, text, code);
        }
        if words::name(&upper).len() > 1 && upper != b"XY" {
            return self.setting(place, text, &upper);
        }
        self.word_line(place, text)
    }

    fn begin_header(&mut self, place: Place) -> Result<(), LimitReached> {
        if self.header_seen || self.work_seen {
            self.remarks.note(&codes::HEADER_TWICE, place, "a second M48", "one header at the start");
        }
        self.header_seen = true;
        self.phase = Phase::Header;
        Ok(())
    }

    fn message(&mut self, place: Place, text: &[u8], code: u32) -> Result<(), LimitReached> {
        match code {
            45 => self.in_message = text.ends_with(b"\\"),
            97 | 98 => {
                self.remarks.note(&codes::TEXT, place, quoted(text), "");
                return self.push_code(place, b'M', 97);
            }
            99 => self.remarks.note(&codes::STORED_PATTERN, place, quoted(text), "the pattern in this file"),
            _ => {}
        }
        Ok(())
    }

    /// A line of words, kept as it stands.
    pub(super) fn word_line(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        let mut found = std::mem::take(&mut self.scratch);
        found.clear();
        let bad = words::words(text, place.column, &mut found);
        let result = self.accept(place, text, &found, bad);
        self.scratch = found;
        result
    }

    fn accept(&mut self, place: Place, text: &[u8], found: &[Word], bad: Option<u32>) -> Result<(), LimitReached> {
        let empty = |w: &Word| w.value == Value::Empty && !matches!(w.letter, b'X' | b'Y');
        if let Some(column) = bad {
            self.remarks.note(&codes::MALFORMED, Place { column, ..place }, quoted(text), "a letter and a number");
        }
        if found.iter().any(empty) {
            self.remarks.note(&codes::MALFORMED, place, quoted(text), "a number behind each letter");
            return Ok(());
        }
        let Some(first) = found.iter().find(|w| w.letter != b'N') else { return Ok(()) };
        let is_tool = first.letter == b'T';
        let is_unit = self.unit_code(place, found);
        if is_unit {
            return Ok(());
        }
        let tool = if is_tool { self.declare(place, found) } else { None };
        self.push(place, found, tool)
    }

    /// Takes a unit code; true where the line holds nothing else.
    fn unit_code(&mut self, place: Place, found: &[Word]) -> bool {
        for word in found.iter().filter(|w| w.letter == b'M') {
            let unit = match (word.count(), self.command_set) {
                (Some(71), _) => Unit::Millimetre,
                (Some(72), _) | (Some(70), Some(1)) => Unit::Inch,
                _ => continue,
            };
            self.note_unit(place, unit, true);
            if found.len() == 1 {
                return true;
            }
        }
        false
    }

    pub(super) fn push_code(&mut self, place: Place, letter: u8, code: i64) -> Result<(), LimitReached> {
        let number = Number { negative: false, digits: code, length: 2, decimals: None };
        let word = Word { letter, value: Value::Number(number), column: place.column };
        self.push(place, &[word], None)
    }

    fn push(&mut self, place: Place, found: &[Word], tool: Option<u32>) -> Result<(), LimitReached> {
        let total = (self.words.len() as u64).saturating_add(found.len() as u64);
        Limits::check("objects", self.limits.objects, total, place.line)?;
        let first = self.words.len() as u32;
        self.words.extend_from_slice(found);
        let in_header = matches!(self.phase, Phase::Start | Phase::Header);
        self.lines.push(Line { place, tool, first, end: self.words.len() as u32, in_header });
        self.look_at(found);
        Ok(())
    }

    fn look_at(&mut self, found: &[Word]) {
        let has = |letter, code| found.iter().any(|w| w.letter == letter && w.count() == Some(code));
        let dwell = has(b'G', 4);
        for number in found.iter().filter(|w| b"XYAIJC".contains(&w.letter)).filter_map(Word::number) {
            if !dwell {
                self.evidence.digits.add(&number);
            }
        }
        let moves = found.iter().any(|w| matches!(w.letter, b'X' | b'Y' | b'R' | b'P')) && !dwell;
        if moves {
            self.phase = Phase::Body;
            self.work_seen = true;
            self.last_work = self.lines.len();
        }
        if has(b'M', 30) {
            self.phase = Phase::Ended;
        }
    }

    fn declare(&mut self, place: Place, found: &[Word]) -> Option<u32> {
        let number = found.iter().find(|w| w.letter == b'T')?.count()?;
        let written = found.iter().find(|w| w.letter == b'C');
        if written.is_none() && self.phase != Phase::Header {
            return None;
        }
        if let Some(word) = written.filter(|w| w.value == Value::Unreadable) {
            self.remarks.note(&codes::NUMBER_UNREADABLE, place, format!("{word} of T{number}"), "at most 18 digits");
        }
        let size = written.and_then(Word::number);
        let in_header = matches!(self.phase, Phase::Start | Phase::Header);
        if let Some(index) = self.declared_before(place, number, size, in_header) {
            return Some(index);
        }
        self.by_number.insert(number, self.tools.len());
        let (plating, function) = self.function.clone().unwrap_or_default();
        let plating = plating.or(self.type_plating.map(|(p, _)| p));
        let comment = CommentTool::default();
        let (index, tolerance) = (self.tools.len() as u32, self.tolerance);
        self.tools.push(ToolDeclaration { number, size, comment, plating, function, tolerance, place, in_header });
        Some(index)
    }

    /// The earlier declaration that holds for this one too, if there is one.
    fn declared_before(&mut self, place: Place, number: u32, size: Option<Number>, in_header: bool) -> Option<u32> {
        let index = *self.by_number.get(&number)?;
        let tool = self.tools.get_mut(index)?;
        tool.size = tool.size.or(size);
        let same = size.is_none() || tool.size == size;
        let header_wins = tool.in_header && !in_header;
        if !same {
            let code = if header_wins { &codes::TOOL_HEADER_WINS } else { &codes::TOOL_TWICE };
            let found = format!("T{number} is declared again with another size");
            self.remarks.note(code, place, found, format!("one size, as on line {}", tool.place.line));
        }
        (same || header_wins).then_some(index as u32)
    }

    fn comment(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        match comment::read(text) {
            Comment::FileAttribute(name, values) => {
                let kept = (self.statements.file_attributes.len() as u64).saturating_add(1);
                Limits::check("objects", self.limits.objects, kept, place.line)?;
                let line = place.line;
                self.statements.file_attributes.push(FileAttribute { name, values, line, in_comment: true });
            }
            Comment::ToolAttribute(name, values) if name == ".AperFunction" => {
                self.function = Some(comment::aperture_function(&values));
            }
            Comment::ToolAttribute(name, values) if name == ".DrillTolerance" => {
                self.tolerance = comment::drill_tolerance(&values);
            }
            Comment::Delete(name) => {
                if name.as_deref().is_none_or(|n| n == ".AperFunction") {
                    self.function = None;
                }
                if name.as_deref().is_none_or(|n| n == ".DrillTolerance") {
                    self.tolerance = None;
                }
            }
            Comment::Type(plating) => self.type_plating = Some((plating, place.line)),
            Comment::Picture(integer, decimals) => {
                self.evidence.picture_comment.get_or_insert(((integer, decimals), place.line));
            }
            Comment::Format(words) => self.format_comment(place.line, words),
            Comment::Tool(number, tool) => {
                let kept = (self.comment_tools.len() as u64).saturating_add(1);
                Limits::check("objects", self.limits.objects, kept, place.line)?;
                self.comment_tools.entry(number).or_insert(CommentTool { line: place.line, ..tool });
            }
            _ => {}
        }
        Ok(())
    }

    fn format_comment(&mut self, line: u32, words: comment::FormatWords) {
        let evidence = &mut self.evidence;
        evidence.unit_comment = evidence.unit_comment.or(words.unit.map(|u| (u, line)));
        evidence.zeros_comment = evidence.zeros_comment.or(words.zeros.map(|z| (z, line)));
        evidence.picture_comment = evidence.picture_comment.or(words.picture.map(|p| (p, line)));
        evidence.decimal_comment |= words.decimal;
    }

    fn finish(mut self, end: Place, blank: bool) -> Program {
        super::finish::statements(&mut self.statements, &self.tools, self.type_plating);
        super::finish::comment_tools(&mut self.tools, &self.comment_tools, &mut self.evidence);
        self.evidence.settle(&self.tools);
        let useful = self.header_seen || self.work_seen || !self.tools.is_empty();
        super::finish::remarks(&mut self.remarks, &self.evidence, &self.tools, self.header_seen, useful, blank);
        let (lines, words) = (&self.lines, &self.words);
        let first = |l: &Line| words.get(l.first as usize..l.end as usize)?.iter().find(|w| w.letter != b'N');
        let selects = |l: &Line| first(l).is_some_and(|w| w.letter == b'T' && w.count() != Some(0));
        let selects_tools = lines.iter().any(selects);
        let evidence = self.evidence;
        let stated = evidence.stated();
        Program {
            statements: self.statements,
            stated,
            stated_fully: evidence.is_full(),
            clues: super::finish::clues(&evidence),
            all_decimal: evidence.all_decimal(),
            tools: self.tools,
            remarks: self.remarks.into_sorted(),
            lines: self.lines,
            words: self.words,
            command_set: self.command_set,
            selects_tools,
            last_work: self.last_work,
            evidence,
            end,
        }
    }
}

/// Codes whose line goes on with free text.
fn message_code(upper: &[u8]) -> Option<u32> {
    let codes: [(&[u8], u32); 5] = [(b"M45", 45), (b"M47", 47), (b"M97", 97), (b"M98", 98), (b"M99", 99)];
    let (_, code) = codes.into_iter().find(|(name, _)| upper.starts_with(name))?;
    matches!(upper.get(3), None | Some(b',' | b' ')).then_some(code)
}
