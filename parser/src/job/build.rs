//! From values to what they say: types, units and ranges are settled here, each once.

use std::collections::BTreeSet;

use super::json::{Entry, Node, Value};
use super::model::{Job, Stated};
use super::{codes, number, sections, text};
use crate::length::{COORDINATE_MAX, Decimal, Nm, Unit};
use crate::limits::Limits;
use crate::remark::{Code, Place, Remarks};

/// What is collected on the way.
pub(super) struct Build {
    /// In order of section; told in order of place.
    noted: Vec<Note>,
    other_keys: Vec<Stated<String>>,
    /// Paths listed so far.
    paths: BTreeSet<String>,
}

struct Note {
    code: &'static Code,
    place: Place,
    found: String,
    expected: String,
}

/// The job of a file's one value.
pub(super) fn job(root: Option<&Node>, limits: &Limits, mut remarks: Remarks) -> Job {
    let most_keys = usize::try_from(limits.remarks).unwrap_or(usize::MAX);
    let mut build = Build { noted: Vec::new(), other_keys: Vec::new(), paths: BTreeSet::new() };
    let mut job = Job::default();
    if let Some(root) = root {
        sections::all(root, &mut job, &mut build);
    }
    build.other_keys.sort_by_key(|k| k.place.offset);
    build.other_keys.truncate(most_keys);
    job.other_keys = build.other_keys;
    build.noted.sort_by_key(|n| n.place.offset);
    for note in build.noted {
        remarks.note(note.code, note.place, note.found, note.expected);
    }
    job.remarks = remarks.into_sorted();
    job
}

impl Build {
    /// Notes a remark.
    pub fn note(&mut self, code: &'static Code, place: Place, found: impl Into<String>, expected: &str) {
        self.noted.push(Note { code, place, found: found.into(), expected: expected.to_owned() });
    }

    /// Whether a path is listed for the first time.
    pub fn is_first(&mut self, path: &str) -> bool {
        self.paths.insert(path.to_owned())
    }

    /// Notes a value of another type than expected; `null` says that nothing is stated.
    fn wrong(&mut self, at: &str, node: &Node, expected: &str) {
        if !matches!(node.value, Value::Null) {
            self.note(&codes::WRONG_TYPE, node.place, format!("{} for {at}", node.value.words()), expected);
        }
    }

    /// The members of a table under known keys, in order, the first of each; others are noted.
    pub fn members<'a>(&mut self, at: &str, node: &'a Node, known: &[&'static str]) -> Vec<(&'static str, &'a Node)> {
        let Value::Table(entries) = &node.value else {
            self.wrong(at, node, "a table { … }");
            return Vec::new();
        };
        let mut out: Vec<(&'static str, &Node)> = Vec::new();
        for entry in entries {
            match known.iter().find(|k| **k == entry.key) {
                None => self.unknown(at, entry),
                Some(key) if out.iter().any(|(k, _)| k == key) => {
                    self.note(&codes::KEY_TWICE, entry.place, format!("the key {key} again in {at}"), "");
                }
                Some(key) => out.push((key, &entry.node)),
            }
        }
        out
    }

    fn unknown(&mut self, at: &str, entry: &Entry) {
        let name = format!("{at}.{}", entry.key);
        let shown = text::show(entry.key.as_bytes());
        self.note(&codes::UNKNOWN_KEY, entry.place, format!("the key {shown} in {at}"), "");
        self.other_keys.push(Stated { value: name, place: entry.place });
    }

    /// The members of a list.
    pub fn list<'a>(&mut self, at: &str, node: &'a Node) -> &'a [Node] {
        if let Value::List(list) = &node.value {
            return list;
        }
        self.wrong(at, node, "a list [ … ]");
        &[]
    }

    /// A text.
    pub fn text(&mut self, at: &str, node: &Node) -> Option<Stated<String>> {
        if let Value::Text(value) = &node.value {
            return Some(Stated { value: value.clone(), place: node.place });
        }
        self.wrong(at, node, "a text");
        None
    }

    /// A text, number or truth, as text.
    pub fn loose(&mut self, at: &str, node: &Node) -> Option<Stated<String>> {
        let value = match &node.value {
            Value::Text(written) | Value::Number(written) => written.clone(),
            Value::Truth(truth) => truth.to_string(),
            _ => {
                self.wrong(at, node, "a text, a number, true or false");
                return None;
            }
        };
        Some(Stated { value, place: node.place })
    }

    /// True or false.
    pub fn truth(&mut self, at: &str, node: &Node) -> Option<Stated<bool>> {
        if let Value::Truth(value) = node.value {
            return Some(Stated { value, place: node.place });
        }
        self.wrong(at, node, "true or false");
        None
    }

    /// A number as written.
    pub fn decimal(&mut self, at: &str, node: &Node) -> Option<Stated<Decimal>> {
        let (written, quoted) = match &node.value {
            Value::Number(written) => (written.as_str(), false),
            Value::Text(written) => (written.trim(), true),
            _ => {
                self.wrong(at, node, "a number");
                return None;
            }
        };
        let Some(value) = number::decimal(written) else {
            self.wrong(at, node, "a number");
            return None;
        };
        if quoted {
            self.note(&codes::NUMBER_AS_TEXT, node.place, format!("{} for {at}", node.value.words()), "a number");
        }
        Some(Stated { value, place: node.place })
    }

    /// A length in millimetres, from `least` to one metre.
    pub fn length(&mut self, at: &str, node: &Node, least: Nm) -> Option<Stated<Nm>> {
        let number = self.decimal(at, node)?;
        match number.value.to_nm(Unit::Millimetre).filter(|nm| (least..=COORDINATE_MAX).contains(nm)) {
            Some(value) => Some(Stated { value, place: number.place }),
            None => {
                let expected = if least > 0 { "more than 0 and at most 1000 mm" } else { "0 to 1000 mm" };
                self.note(&codes::OUT_OF_RANGE, node.place, format!("{} for {at}", node.value.words()), expected);
                None
            }
        }
    }

    /// A whole number from 1 to `most`.
    pub fn whole(&mut self, at: &str, node: &Node, most: u32) -> Option<Stated<u32>> {
        let number = self.decimal(at, node)?;
        let whole =
            10i64.checked_pow(number.value.decimals).filter(|unit| number.value.digits.checked_rem(*unit) == Some(0));
        let value = whole.and_then(|unit| u32::try_from(number.value.digits.checked_div(unit)?).ok());
        match value.filter(|n| (1..=most).contains(n)) {
            Some(value) => Some(Stated { value, place: number.place }),
            None => {
                let found = format!("{} for {at}", node.value.words());
                self.note(&codes::OUT_OF_RANGE, node.place, found, &format!("a whole number from 1 to {most}"));
                None
            }
        }
    }

    /// One of the words of a table, whatever its case.
    pub fn one_of<T: Copy>(&mut self, at: &str, node: &Node, words: &[(&str, T)]) -> Option<Stated<T>> {
        let written = self.text(at, node)?;
        let found = words.iter().find(|(word, _)| word.eq_ignore_ascii_case(written.value.trim()));
        if found.is_none() {
            let expected = words.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
            self.note(&codes::VALUE_UNKNOWN, node.place, format!("{} for {at}", node.value.words()), &expected);
        }
        found.map(|(_, value)| Stated { value: *value, place: written.place })
    }
}
