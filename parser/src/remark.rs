//! Remarks: what a reader noticed in a file, as data.

#![deny(clippy::arithmetic_side_effects)]

use std::fmt;

use crate::length::Nm;
use crate::point::Point;

/// How much a remark weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; the image is as meant.
    Info,
    /// Accepted with an assumption that is recorded here.
    Warning,
    /// The image was built but may not be what was meant.
    Error,
    /// No trustworthy image could be built from the file.
    Fatal,
}

impl Severity {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Info => "info",
            Self::Warning => "warning",
            Self::Error => "error",
            Self::Fatal => "fatal",
        }
    }
}

/// One row of the table of remark codes.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// Stable identifier, never reused.
    pub id: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// Clause of the standard, or the reason where no standard speaks.
    pub clause: &'static str,
    /// What the sender should do about it.
    pub action: &'static str,
}

/// Makes a table of codes, one static each, and `ALL` of them in the order given.
#[macro_export]
macro_rules! remark_codes {
    ($($name:ident $id:literal $severity:ident $clause:literal $action:literal;)*) => {
        $(#[doc = concat!("`", $id, "`")] pub static $name: $crate::Code = $crate::Code {
            id: $id,
            severity: $crate::Severity::$severity,
            clause: $clause,
            action: $action,
        };)*
        /// All codes of this table, in order of weight.
        pub static ALL: &[&$crate::Code] = &[$(&$name),*];
    };
}

/// A place in a file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1; lines end at CR, LF or CR LF.
    pub line: u32,
    /// Column in bytes, from 1.
    pub column: u32,
    /// Byte offset from the start of the file.
    pub offset: u32,
}

/// A place of a file that can be read in two ways, and what hangs on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TwoReadings {
    /// Where in the image.
    pub at: Point,
    /// Line of the file, from 1.
    pub line: u32,
    /// The area the readings differ by, in square nanometres.
    pub differ_nm2: u64,
    /// About how thick that area is.
    pub thick: Nm,
    /// The area filled as it was read, and as it may also be read, where both are areas (nm²).
    pub areas_nm2: Option<(u64, u64)>,
}

/// Something noticed while reading a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// What kind of remark it is.
    pub code: &'static Code,
    /// Where in the file.
    pub place: Place,
    /// What was found there, with the offending text.
    pub found: String,
    /// What the standard or common sense led to expect; empty where `found` says it all.
    pub expected: String,
    /// How many further places of the same file have the same remark.
    pub more: u32,
    /// Where the file can be read in two ways at such places: those that differ most, in order of line.
    pub two_readings: Vec<TwoReadings>,
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.found)?;
        if !self.expected.is_empty() {
            write!(f, "; expected {}", self.expected)?;
        }
        if self.more > 0 {
            write!(f, " (and {} more)", self.more)?;
        }
        write!(f, ". {}", self.code.action)
    }
}

/// Places of two readings kept with one remark.
const MOST_READINGS: usize = 200;

/// Collects remarks: one entry a code, the first place kept, the rest counted.
#[derive(Debug, Default)]
pub struct Remarks {
    list: Vec<Remark>,
}

impl Remarks {
    /// Notes one remark.
    pub fn note(&mut self, code: &'static Code, place: Place, found: impl Into<String>, expected: impl Into<String>) {
        if let Some(earlier) = self.list.iter_mut().find(|r| std::ptr::eq(r.code, code)) {
            earlier.more = earlier.more.saturating_add(1);
            return;
        }
        let (found, expected) = (found.into(), expected.into());
        self.list.push(Remark { code, place, found, expected, more: 0, two_readings: Vec::new() });
    }

    /// Keeps what hangs on a place that was just noted under `code`; of very many, those that differ most.
    pub fn keep_readings(&mut self, code: &'static Code, readings: TwoReadings) {
        let Some(remark) = self.list.iter_mut().find(|r| std::ptr::eq(r.code, code)) else { return };
        let kept = &mut remark.two_readings;
        if kept.len() < MOST_READINGS {
            kept.push(readings);
            return;
        }
        let least = kept.iter_mut().min_by_key(|r| r.differ_nm2);
        if let Some(least) = least.filter(|l| l.differ_nm2 < readings.differ_nm2) {
            *least = readings;
        }
    }

    /// Whether a remark with this code stands already.
    #[must_use]
    pub fn has(&self, code: &'static Code) -> bool {
        self.list.iter().any(|r| std::ptr::eq(r.code, code))
    }

    /// The remarks in order of place.
    #[must_use]
    pub fn into_sorted(mut self) -> Vec<Remark> {
        self.list.sort_by_key(|r| r.place.offset);
        for remark in &mut self.list {
            remark.two_readings.sort_by_key(|r| (r.line, r.at));
        }
        self.list
    }
}
