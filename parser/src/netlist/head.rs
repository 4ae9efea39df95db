//! Parameter records (`P`): unit, edition, names of the job, and the aliases of long net names.
//!
//! They are read before everything else, since a unit or an alias may stand behind its first use.

use std::collections::BTreeMap;

use super::codes;
use super::record::{Record, first_word, owned, quoted, records, trimmed, words};
use super::{AngleUnit, Dialect, Header};
use crate::length::Unit;
use crate::limits::{LimitReached, Limits};
use crate::remark::Remarks;

/// What the parameter records of a file say.
#[derive(Default)]
pub(super) struct Head {
    pub header: Header,
    pub dialect: Dialect,
    pub unit: Option<Unit>,
    pub angle_unit: AngleUnit,
    pub aliases: BTreeMap<Vec<u8>, String>,
    removed: Vec<Vec<u8>>,
    /// Parameter records.
    count: u64,
    /// Whether a record with lengths was passed.
    data_seen: bool,
}

/// Reads the parameter records up to the end of the job.
pub(super) fn read(bytes: &[u8], limits: &Limits, remarks: &mut Remarks) -> Result<Head, LimitReached> {
    let mut head = Head::default();
    for record in records(bytes) {
        match record.text {
            [b'9', b'9', b'9', ..] => break,
            [b'P' | b'p', ..] if is_parameter(record.text) => {
                head.parameter(&record, limits, remarks);
                head.count = head.count.saturating_add(1);
                let names = u64::try_from(head.removed.len()).unwrap_or(u64::MAX);
                Limits::check("records", limits.records, head.count.saturating_add(names), record.place.line)?;
            }
            [b'0'..=b'9', ..] => head.data_seen = true,
            _ => {}
        }
    }
    let removed = std::mem::take(&mut head.removed);
    head.header.removed_conductors = removed.iter().map(|net| head.name(net)).collect();
    Ok(head)
}

/// Whether a line that begins with P is a parameter record.
pub(super) fn is_parameter(text: &[u8]) -> bool {
    text.get(1).is_none_or(|b| super::record::is_blank(*b))
}

impl Head {
    /// The real name of a net.
    pub fn name(&self, net: &[u8]) -> String {
        self.aliases.get(&net.to_ascii_uppercase()).cloned().unwrap_or_else(|| owned(net))
    }

    fn parameter(&mut self, record: &Record<'_>, limits: &Limits, remarks: &mut Remarks) {
        let (keyword, value) = first_word(record.from(2));
        let keyword = keyword.to_ascii_uppercase();
        if !keyword.is_empty() && (record.column(2), record.column(3)) != (b' ', b' ') || record.column(4) == b' ' {
            remarks.note(&codes::HEADER_COLUMNS, record.place, quoted(record.text), "the keyword in column 4");
        }
        if let Some(alias) = keyword.strip_prefix(b"NNAME") {
            return self.alias(record, alias, value, remarks);
        }
        match keyword.as_slice() {
            b"JOB" => keep(&mut self.header.job, value),
            b"CODE" => keep(&mut self.header.code, value),
            b"TITLE" => keep(&mut self.header.title, value),
            b"NUM" => keep(&mut self.header.number, value),
            b"REV" => keep(&mut self.header.revision, value),
            b"IMAGE" => keep(&mut self.header.image, value),
            b"VER" => self.version(record, value, remarks),
            b"UNITS" => self.units(record, value, remarks),
            b"REMOVED_CONDUCTORS" => {
                let room = usize::try_from(limits.records).unwrap_or(usize::MAX).saturating_add(1);
                self.removed.extend(words(value).map(<[u8]>::to_vec).take(room.saturating_sub(self.removed.len())));
            }
            [] => {}
            _ => {
                remarks.note(&codes::HEADER_UNKNOWN, record.place, quoted(record.text), "");
                self.header.other.push((owned(first_word(record.from(2)).0), owned(value)));
            }
        }
    }

    fn version(&mut self, record: &Record<'_>, value: &[u8], remarks: &mut Remarks) {
        match value.to_ascii_uppercase().as_slice() {
            b"IPC-D-356" => self.dialect = Dialect::Plain,
            b"IPC-D-356A" => self.dialect = Dialect::RevisionA,
            _ => remarks.note(&codes::VERSION_UNKNOWN, record.place, quoted(value), "IPC-D-356 or IPC-D-356A"),
        }
        keep(&mut self.header.version, value);
    }

    fn units(&mut self, record: &Record<'_>, value: &[u8], remarks: &mut Remarks) {
        let Some((unit, angle_unit)) = units(value) else {
            let expected = "SI, CUST 0, CUST 1 or CUST 2";
            return remarks.note(&codes::UNIT_UNKNOWN, record.place, quoted(value), expected);
        };
        match self.unit {
            Some(first) if (first, self.angle_unit) != (unit, angle_unit) => {
                let expected = format!("the same as before, {}", first.name());
                remarks.note(&codes::UNIT_CONTRADICTS, record.place, quoted(record.text), expected);
            }
            Some(_) => remarks.note(&codes::UNIT_TWICE, record.place, quoted(record.text), ""),
            None => {
                (self.unit, self.angle_unit) = (Some(unit), angle_unit);
                if self.data_seen {
                    remarks.note(&codes::UNIT_LATE, record.place, quoted(record.text), "UNITS before the first record");
                }
                if angle_unit == AngleUnit::Radian {
                    remarks.note(&codes::RADIANS, record.place, quoted(record.text), "degrees");
                }
            }
        }
    }

    /// The alias is written behind the keyword, with or without blanks; records use it with the keyword.
    fn alias(&mut self, record: &Record<'_>, attached: &[u8], value: &[u8], remarks: &mut Remarks) {
        let (alias, name) = if attached.is_empty() { first_word(value) } else { (attached, value) };
        if alias.is_empty() || name.is_empty() {
            let expected = "an alias and a net name";
            return remarks.note(&codes::ALIAS_UNREADABLE, record.place, quoted(record.text), expected);
        }
        let alias = [b"NNAME", alias].concat().to_ascii_uppercase();
        let name = owned(name);
        match self.aliases.get(&alias) {
            Some(first) if *first != name => {
                let expected = format!("one name for one alias, first {}", quoted(first.as_bytes()));
                remarks.note(&codes::ALIAS_TWICE, record.place, quoted(record.text), expected);
            }
            Some(_) => {}
            None => {
                self.aliases.insert(alias, name);
            }
        }
    }
}

/// The first statement of a parameter is the one that counts.
fn keep(field: &mut Option<String>, value: &[u8]) {
    if field.is_none() && !trimmed(value).is_empty() {
        *field = Some(owned(value));
    }
}

fn units(value: &[u8]) -> Option<(Unit, AngleUnit)> {
    let value = value.to_ascii_uppercase();
    let mut parts = words(&value);
    let system = (parts.next()?, parts.next(), parts.next());
    match system {
        (b"SI", None, _) => Some((Unit::Millimetre, AngleUnit::Degree)),
        (b"CUST", None | Some(b"0"), None) => Some((Unit::Inch, AngleUnit::Degree)),
        (b"CUST", Some(b"1"), None) => Some((Unit::Millimetre, AngleUnit::Degree)),
        (b"CUST", Some(b"2"), None) => Some((Unit::Inch, AngleUnit::Radian)),
        _ => None,
    }
}
