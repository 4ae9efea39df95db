//! Remarks: what a reader noticed in a file, as data.

use std::fmt;

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
        self.list.push(Remark { code, place, found: found.into(), expected: expected.into(), more: 0 });
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
        self.list
    }
}
