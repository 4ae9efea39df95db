//! From bytes to a [`Netlist`]: which record is which, and which records belong together.

use super::codes;
use super::head::{self, Head};
use super::path::Draft;
use super::record::{Record, is_blank, line_count, owned, quoted, records};
use super::{KeptRecord, Netlist, PointKind};
use crate::length::Unit;
use crate::limits::{LimitReached, Limits};
use crate::remark::{Code, Place, Remarks};

/// What a continuation record would belong to.
pub(super) enum Open {
    /// Nothing.
    Nothing,
    /// The last point, whose record stands here.
    Point(Place),
    /// A conductor or outline being drawn.
    Lines(Box<Draft>),
    /// The last net with its neighbours.
    Adjacency,
    /// A record that is left out, and with it its continuations.
    LeftOut,
}

/// State of reading.
pub(super) struct Reader<'a> {
    pub limits: &'a Limits,
    pub head: Head,
    pub unit: Unit,
    pub remarks: Remarks,
    pub out: Netlist,
    pub open: Open,
    pub vertices: u64,
    records: u64,
    /// Lines that are no record.
    strange: u64,
    parameters: bool,
}

/// Reads a netlist. Bad data become remarks; lines end at CR, LF or CR LF.
///
/// # Errors
/// [`LimitReached`] where the file is larger, or holds more records or corners, than `limits` allow.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Netlist, LimitReached> {
    let size = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    Limits::check("bytes", limits.bytes.min(u64::from(u32::MAX)), size, 1)?;
    let mut remarks = Remarks::default();
    let head = head::read(bytes, limits, &mut remarks)?;
    let unit = head.unit.unwrap_or(Unit::Inch);
    let (out, open) = (Netlist::default(), Open::Nothing);
    let mut reader =
        Reader { limits, head, unit, remarks, out, open, vertices: 0, records: 0, strange: 0, parameters: false };
    let mut end = Place { line: 1, column: 1, offset: 0 };
    for record in records(bytes) {
        reader.line(&record)?;
        end = record.place;
    }
    let empty = records(bytes).next().is_none();
    reader.out.lines = line_count(bytes);
    Ok(reader.finish(end, empty))
}

impl Reader<'_> {
    pub fn note(&mut self, code: &'static Code, place: Place, found: &[u8], expected: &str) {
        self.remarks.note(code, place, quoted(found), expected);
    }

    /// Counts one more record, or name of a list, against the limit.
    pub fn count(&mut self, line: u32) -> Result<(), LimitReached> {
        self.records = self.records.saturating_add(1);
        Limits::check("records", self.limits.records, self.records, line)
    }

    fn line(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        let first = record.text.first().map(u8::to_ascii_uppercase);
        if first == Some(b'C') {
            return Ok(());
        }
        if self.out.ended {
            self.note(&codes::DATA_AFTER_END, record.place, record.text, "nothing but comments behind 999");
            return Ok(());
        }
        self.look(record);
        match record.text {
            [b'P' | b'p', ..] if head::is_parameter(record.text) => self.parameters = true,
            [a, b, c, ..] if [a, b, c].iter().all(|d| d.is_ascii_digit()) => {
                self.count(record.place.line)?;
                return self.operation(record, [*a, *b, *c]);
            }
            _ => {
                let expected = "a code of three digits, P or C";
                self.note(&codes::LINE_UNKNOWN, record.place, record.text, expected);
                self.strange = self.strange.saturating_add(1);
                Limits::check("records", self.limits.records, self.strange, record.place.line)?;
                self.out.unread.push(record.place.line);
            }
        }
        Ok(())
    }

    /// Remarks on the line as a whole.
    fn look(&mut self, record: &Record<'_>) {
        if record.indent > 0 {
            self.note(&codes::INDENT, record.place, record.text, "the record in column 1");
        }
        if record.text.contains(&b'\t') {
            self.note(&codes::TAB, record.place, record.text, "blanks");
        }
        let strange = |b: &u8| *b != b'\t' && (!b.is_ascii() || b.is_ascii_control());
        if let Some(at) = record.text.iter().position(strange) {
            self.note(&codes::TEXT_BYTES, record.at(at.saturating_add(1)), record.text, "ASCII");
        }
    }

    fn operation(&mut self, record: &Record<'_>, code: [u8; 3]) -> Result<(), LimitReached> {
        if code[0] != b'0' || matches!(&code, b"099" | b"088") {
            self.close();
        }
        match &code {
            b"317" => self.point(record, PointKind::ThroughHole),
            b"327" => self.point(record, PointKind::Surface),
            b"367" => self.point(record, PointKind::Tooling),
            b"307" => self.point(record, PointKind::BlindVia),
            b"099" => self.test_location(record),
            b"017" | b"027" => self.continued_point(record, code[1] == b'1'),
            b"378" => return self.conductor(record),
            b"389" => return self.outline(record),
            b"078" | b"089" => return self.continued_lines(record),
            b"379" => return self.adjacency(record),
            b"079" => return self.continued_adjacency(record),
            b"309" => self.step(record),
            b"999" => self.out.ended = true,
            b"370" | b"070" | b"380" | b"080" | b"390" | b"090" | b"088" => {
                self.note(&codes::KEPT, record.place, record.text, "");
                self.keep(record, code);
            }
            _ => {
                self.note(&codes::CODE_UNKNOWN, record.place, record.text, "an operation code of the standard");
                self.keep(record, code);
            }
        }
        Ok(())
    }

    fn keep(&mut self, record: &Record<'_>, code: [u8; 3]) {
        let (code, text) = (owned(&code), owned(record.from(4)));
        self.out.kept.push(KeptRecord { code, text, line: record.place.line });
    }

    /// Leaves a record out, and with it the continuations that follow.
    pub fn leave_out(&mut self, line: u32) {
        self.out.unread.push(line);
        self.open = Open::LeftOut;
    }

    /// Leaves out a continuation record with nothing to continue.
    pub fn alone(&mut self, record: &Record<'_>, expected: &str) {
        if !matches!(self.open, Open::LeftOut) {
            self.note(&codes::CONTINUATION_ALONE, record.place, record.text, expected);
        }
        self.out.unread.push(record.place.line);
    }

    /// Ends the record being read: no continuation of it follows.
    pub fn close(&mut self) {
        match std::mem::replace(&mut self.open, Open::Nothing) {
            Open::Point(place) => self.close_point(place),
            Open::Lines(draft) => self.close_lines(*draft),
            Open::Nothing | Open::Adjacency | Open::LeftOut => {}
        }
    }

    /// The net of a field: `None` for `N/C` and where blank.
    pub fn net(&mut self, record: &Record<'_>, field: &[u8]) -> Option<String> {
        if field.is_empty() || field.eq_ignore_ascii_case(b"N/C") {
            return None;
        }
        if field.iter().any(|b| is_blank(*b)) {
            self.note(&codes::NET_SPACES, record.at(4), field, "a name without blanks");
        }
        let alias = field.to_ascii_uppercase();
        let number = alias.strip_prefix(b"NNAME").is_some_and(|n| super::number::whole(n).is_some());
        if number && !self.head.aliases.contains_key(&alias) {
            self.note(&codes::ALIAS_UNDEFINED, record.at(4), field, "a NNAME record with this alias");
        }
        Some(self.head.name(field))
    }

    fn finish(mut self, end: Place, empty: bool) -> Netlist {
        self.close();
        let start = Place { line: 1, column: 1, offset: 0 };
        let mut note = |code, place, found: &str, expected: &str| self.remarks.note(code, place, found, expected);
        if empty {
            note(&codes::EMPTY, start, "no record", "");
        } else if self.records == 0 && !self.parameters {
            note(
                &codes::NOT_A_NETLIST,
                start,
                "no record with an operation code",
                "records that begin with 317, 327 or 999",
            );
        } else {
            if !self.out.ended {
                note(&codes::MISSING_END, end, "the end of the file", "999");
            }
            if self.head.unit.is_none() {
                note(
                    &codes::UNIT_ASSUMED,
                    start,
                    "no unit that can be read",
                    "P  UNITS with SI, CUST 0, CUST 1 or CUST 2",
                );
            }
            if self.out.points.is_empty() {
                note(&codes::NO_POINTS, end, "no land, hole or test location", "");
            }
        }
        let Head { header, dialect, unit, angle_unit, .. } = self.head;
        Netlist { header, dialect, unit, angle_unit, remarks: self.remarks.into_sorted(), ..self.out }
    }
}
