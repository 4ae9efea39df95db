//! Profiles laid over one another: house ← process ← customer ← part.
//!
//! An overlay is a file with `over = "…"` and only the keys it sets. Tables by copper are laid row by
//! row. What the result holds is one whole profile, which also knows which file set each value.

use std::collections::BTreeMap;

use toml::{Table, Value};

use super::error::line_of;
use super::{Capability, FileError};

/// Keys that describe a file and are not inherited.
const HEAD: [&str; 3] = ["name", "version", "about"];
/// The key that names what an overlay lies over.
pub(super) const OVER: &str = "over";
/// Keys of a table that the profile below need not have.
const OPTIONAL: [&str; 2] = ["source", "unit"];

/// Which file, and which of its lines, set a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetBy {
    /// The file's name, or the profile's where it comes with the program.
    pub file: String,
    /// Line from 1.
    pub line: u32,
}

impl std::fmt::Display for SetBy {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}, line {}", self.file, self.line)
    }
}

/// The values that overlays set, by dotted key of the limit or row.
pub(super) type Origins = BTreeMap<String, SetBy>;

struct Laying<'a> {
    file: &'a str,
    text: &'a str,
    origins: Origins,
    /// Numbers set without a source of their own.
    unsourced: Vec<String>,
}

/// Whether a table of the overlay, or one round it, names a source.
type Sourced = bool;

/// What an overlay's text says it lies over; `None` for a whole profile.
///
/// # Errors
/// Where the text is no TOML, or `over` is not a name.
pub fn lies_over(file: &str, text: &str) -> Result<Option<String>, FileError> {
    let table: Table = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
    match table.get(OVER) {
        None => Ok(None),
        Some(Value::String(name)) if !name.trim().is_empty() => Ok(Some(name.clone())),
        Some(_) => {
            Err(FileError::at_key(file, text, OVER, "expected the name or file of the profile below, in quotes"))
        }
    }
}

impl Capability {
    /// Lays an overlay over this profile.
    ///
    /// # Errors
    /// Keys the profile below does not have, values of the wrong kind; with file, line and key.
    pub fn laid_over(&self, file: &str, text: &str) -> Result<Self, FileError> {
        let overlay: Table = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
        let mut merged: Table = toml::from_str(&self.text).map_err(|e| FileError::of_toml(file, text, &e))?;
        let mut laying = Laying { file, text, origins: self.origins.clone(), unsourced: Vec::new() };
        if !overlay.contains_key("name") {
            return Err(FileError::at_key(file, text, "name", "missing; give the overlay a name of its own"));
        }
        laying.table(&mut merged, overlay, "", false)?;
        let whole = toml::to_string(&merged).map_err(|e| FileError::at_key(file, text, "", &e.to_string()))?;
        let parsed =
            Self::parse(file, &whole).map_err(|e| FileError { line: line_of(text, &e.key), column: 1, ..e })?;
        let unsourced = self.unsourced.iter().cloned().chain(laying.unsourced).collect();
        Ok(Self { origins: laying.origins, unsourced, ground: self.ground.clone(), ..parsed })
    }

    /// Which file and line set the value of a dotted key, such as `edge_copper.outer` or `track.outer.18`.
    #[must_use]
    pub fn set_by(&self, key: &str) -> SetBy {
        let ground = || SetBy { file: self.ground.file.clone(), line: line_of(&self.ground.text, key) };
        self.origins.get(key).cloned().unwrap_or_else(ground)
    }

    /// The same for a key as a finding words it: `track.outer at 18 µm base copper`.
    #[must_use]
    pub fn set_by_worded(&self, worded: &str) -> SetBy {
        let mut words = worded.split(' ');
        let key = words.next().unwrap_or_default();
        let row = words.nth(1).filter(|_| worded.contains(" µm base copper")).and_then(|copper| {
            let copper = copper.parse::<f64>().ok()?;
            let (_, table) = self.copper_tables().into_iter().find(|(name, _)| *name == key)?;
            table.row((copper * 1000.0).round() as i64)
        });
        match row {
            Some(row) => self.set_by(&format!("{key}.{}", super::entry::trimmed_um(row.copper))),
            None => self.set_by(key),
        }
    }

    /// Files the profile is made of, the lowest first.
    #[must_use]
    pub fn files(&self) -> Vec<String> {
        let mut above: Vec<String> = self.origins.values().map(|s| s.file.clone()).collect();
        above.sort();
        above.dedup();
        above.retain(|f| *f != self.ground.file);
        std::iter::once(self.ground.file.clone()).chain(above).collect()
    }
}

impl Laying<'_> {
    fn table(&mut self, below: &mut Table, above: Table, path: &str, sourced: Sourced) -> Result<(), FileError> {
        let sourced = sourced || above.contains_key("source");
        for (name, value) in above {
            let key = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
            if path.is_empty() && name == OVER {
                continue;
            }
            match (below.get_mut(&name), value) {
                (Some(Value::Table(low)), Value::Table(high)) => self.table(low, high, &key, sourced)?,
                (Some(Value::Array(low)), Value::Array(high)) if name == "rows" => {
                    self.rows(low, high, path, sourced)?
                }
                (Some(_), Value::Table(_)) => return Err(self.wrong(&key, "expected a value, found a table")),
                (Some(low), value) => {
                    self.note(&key, path);
                    if is_number(&value) && !sourced && name != "version" {
                        self.unsourced.push(path.to_owned());
                    }
                    *low = value;
                }
                (None, value) if OPTIONAL.contains(&name.as_str()) => {
                    below.insert(name, value);
                }
                (None, _) => {
                    let known: Vec<&str> = below.keys().map(String::as_str).collect();
                    return Err(
                        self.wrong(&key, &format!("unknown key; the profile below knows here: {}", known.join(", ")))
                    );
                }
            }
        }
        Ok(())
    }

    /// Rows by base copper: a row of the same copper is replaced, a new one goes in its place by thickness.
    fn rows(&mut self, low: &mut Vec<Value>, high: Vec<Value>, path: &str, sourced: Sourced) -> Result<(), FileError> {
        for row in high {
            let Some(copper) = copper_of(&row) else {
                return Err(self.wrong(&format!("{path}.rows"), "every row needs its base copper, as in copper = 18"));
            };
            let key = format!("{path}.{copper}");
            self.note(&key, "");
            if !sourced && row.get("source").is_none() {
                self.unsourced.push(key);
            }
            match low.iter().position(|r| copper_of(r).is_none_or(|c| c >= copper)) {
                Some(at) if copper_of(&low[at]) == Some(copper) => low[at] = row,
                Some(at) => low.insert(at, row),
                None => low.push(row),
            }
        }
        Ok(())
    }

    fn note(&mut self, key: &str, parent: &str) {
        let own = key.rsplit('.').next().unwrap_or(key);
        if HEAD.contains(&key) || OPTIONAL.contains(&own) {
            return;
        }
        let set = SetBy { file: self.file.to_owned(), line: line_of(self.text, key) };
        if !parent.is_empty() {
            self.origins.insert(parent.to_owned(), set.clone());
        }
        self.origins.insert(key.to_owned(), set);
    }

    fn wrong(&self, key: &str, what: &str) -> FileError {
        FileError::at_key(self.file, self.text, key, what)
    }
}

const fn is_number(value: &Value) -> bool {
    matches!(value, Value::Integer(_) | Value::Float(_))
}

/// The base copper of a row, in micrometres.
fn copper_of(row: &Value) -> Option<f64> {
    match row.get("copper")? {
        Value::Integer(n) => Some(*n as f64),
        Value::Float(f) => Some(*f),
        _ => None,
    }
}
