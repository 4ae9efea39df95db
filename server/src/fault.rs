//! Everything that can go wrong at the edge, in one table: the same rows speak on the command
//! line (with an exit code) and over HTTP (with a status).

use std::fmt;

use serde::{Deserialize, Serialize};

/// What kind of trouble it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// No data at all.
    EmptyData,
    /// An archive that cannot be unpacked.
    BrokenArchive,
    /// An archive of a kind that is not read.
    UnreadArchive,
    /// An archive entry that is refused for safety.
    RefusedEntry,
    /// A path that cannot be read.
    UnreadablePath,
    /// Files, but none that holds artwork or holes.
    NothingReadable,
    /// More data than is taken.
    TooLarge,
    /// Not the request that was expected.
    BadRequest,
    /// A command used wrongly.
    Usage,
    /// A capability profile that cannot be used.
    BadCapability,
    /// An order that cannot be used.
    BadOrder,
    /// A statement about a file that cannot be used.
    BadTold,
    /// Wording files that cannot be used.
    BadWording,
    /// Permissions or accepted departures that cannot be used.
    BadAgreement,
    /// A spreadsheet of answers that cannot be read back.
    BadAnswers,
    /// No such thing.
    NotFound,
    /// The address knows no such method.
    NoSuchMethod,
    /// A request that another site's page made.
    CrossSite,
    /// The check has not come to its end.
    NotReady,
    /// The check was cancelled.
    Cancelled,
    /// Too much work is waiting.
    Busy,
    /// The time allowed ran out.
    TooSlow,
    /// The program failed on this data.
    CouldNotBeChecked,
    /// Reading from or writing to the disk failed.
    Storage,
    /// What the service keeps cannot be reached just now.
    Unavailable,
    /// Something else was quicker, or the state does not allow it.
    Conflict,
    /// Nobody has signed in.
    SignInNeeded,
    /// Whoever asks may not do this.
    NotAllowed,
    /// It was there, and has come to its end.
    Gone,
    /// Too many requests.
    TooMany,
    /// A service did not answer as it should.
    Unreachable,
}

/// One row of the table.
#[derive(Debug)]
pub struct Row {
    /// The kind.
    pub kind: Kind,
    /// Stable identifier.
    pub slug: &'static str,
    /// Constant title.
    pub title: &'static str,
    /// HTTP status.
    pub status: u16,
    /// Exit code of the command line.
    pub exit: u8,
    /// What to do about it.
    pub advice: &'static str,
}

const fn row(kind: Kind, slug: &'static str, status: u16, exit: u8, title: &'static str, advice: &'static str) -> Row {
    Row { kind, slug, title, status, exit, advice }
}

/// The table.
pub const TABLE: &[Row] = &[
    row(
        Kind::EmptyData,
        "empty-data",
        422,
        2,
        "There is no data to check",
        "Send the board's Gerber and drill files, or a zip that holds them.",
    ),
    row(
        Kind::BrokenArchive,
        "broken-archive",
        422,
        2,
        "The archive cannot be unpacked",
        "Pack the files again, open the new archive once to see that it is whole, and send that one.",
    ),
    row(
        Kind::UnreadArchive,
        "unread-archive",
        415,
        2,
        "This kind of archive is not read",
        "Unpack it and send the files or the folder, or pack them as a zip.",
    ),
    row(
        Kind::RefusedEntry,
        "refused-entry",
        422,
        2,
        "An entry of the data is refused",
        "Put the file itself in its place and send the data again.",
    ),
    row(
        Kind::UnreadablePath,
        "unreadable-path",
        422,
        2,
        "A file or folder cannot be read",
        "Check the path and the right to read it.",
    ),
    row(
        Kind::NothingReadable,
        "nothing-readable",
        422,
        2,
        "None of the files holds artwork or holes",
        "Send the files the design program plotted for fabrication: Gerber for every layer, Excellon or XNC for the holes.",
    ),
    row(
        Kind::TooLarge,
        "too-large",
        413,
        4,
        "The data is larger than is taken",
        "Send only the fabrication data of one board, or run the check where the limit is set higher.",
    ),
    row(
        Kind::BadRequest,
        "bad-request",
        400,
        3,
        "The request is not as expected",
        "Correct the request; the detail says what was expected.",
    ),
    row(Kind::Usage, "usage", 400, 3, "The command is not as expected", "See the command's --help."),
    row(
        Kind::BadCapability,
        "bad-capability",
        422,
        3,
        "The capability profile cannot be used",
        "Correct it at the place named; `landgap capability lint FILE` checks it.",
    ),
    row(Kind::BadOrder, "bad-order", 422, 3, "The order cannot be used", "Correct it at the place named."),
    row(
        Kind::BadTold,
        "bad-told",
        422,
        3,
        "What was said about a file cannot be used",
        "Name a file of the set and a role, such as \"copper top 1\", \"mask bottom\", \"outline\" or \"plated-holes\".",
    ),
    row(
        Kind::BadWording,
        "bad-wording",
        422,
        3,
        "A wording file cannot be used",
        "Correct it at the place named; `landgap wording RULE` shows what it may hold.",
    ),
    row(
        Kind::BadAgreement,
        "bad-agreement",
        422,
        3,
        "Permissions or accepted departures cannot be used",
        "Correct the file at the place named.",
    ),
    row(
        Kind::BadAnswers,
        "bad-answers",
        422,
        3,
        "The answers cannot be read back",
        "Answer in the spreadsheet as it was sent, in the columns meant for it, and send it again.",
    ),
    row(
        Kind::NotFound,
        "not-found",
        404,
        3,
        "There is no such thing here",
        "Check the address; data sets and checks are named in the answer that made them.",
    ),
    row(
        Kind::NoSuchMethod,
        "no-such-method",
        405,
        3,
        "This address does not take that method",
        "See /api/openapi.json for what each address takes.",
    ),
    row(
        Kind::CrossSite,
        "cross-site",
        403,
        3,
        "A page of another site may not do this",
        "Use the page this service gives out, or a program of your own.",
    ),
    row(
        Kind::NotReady,
        "not-ready",
        409,
        4,
        "The check has not come to its end",
        "Watch the check's events and ask again when its state is \"done\".",
    ),
    row(Kind::Cancelled, "cancelled", 409, 4, "The check was cancelled", "Start it again if its result is wanted."),
    row(Kind::Busy, "busy", 429, 4, "Too much work is waiting", "Try again after the time given in Retry-After."),
    row(
        Kind::TooSlow,
        "too-slow",
        408,
        4,
        "The time allowed ran out",
        "Send less data at once, or run the check on the command line, where no time limit applies.",
    ),
    row(
        Kind::CouldNotBeChecked,
        "could-not-be-checked",
        500,
        4,
        "This data could not be checked",
        "The board is not cleared. Send the data to the makers of this program, with what stands here; it is a fault of ours.",
    ),
    row(
        Kind::Storage,
        "storage",
        500,
        4,
        "Reading from or writing to the disk failed",
        "See that the folder exists, may be written to, and has room.",
    ),
    row(
        Kind::Unavailable,
        "unavailable",
        503,
        4,
        "What the service keeps cannot be reached just now",
        "Nothing was lost. Try again after the time given in Retry-After.",
    ),
    row(
        Kind::Conflict,
        "conflict",
        409,
        3,
        "This does not fit what is there by now",
        "Fetch it again, look at what has changed, and repeat what is still wanted.",
    ),
    row(
        Kind::SignInNeeded,
        "sign-in-needed",
        401,
        3,
        "Sign in first",
        "Sign in at /sign-in, or send a token: Authorization: Bearer TOKEN; on the command line --token.",
    ),
    row(
        Kind::NotAllowed,
        "not-allowed",
        403,
        3,
        "This is not allowed to you",
        "Ask an administrator of this service for the right to it.",
    ),
    row(Kind::Gone, "gone", 410, 3, "This has come to its end", "Ask whoever sent it for a new one."),
    row(Kind::TooMany, "too-many", 429, 4, "Too many requests", "Wait as long as Retry-After says, then go on slower."),
    row(
        Kind::Unreachable,
        "unreachable",
        502,
        4,
        "The service did not answer as it should",
        "Check its address and that it runs.",
    ),
];

impl Kind {
    /// The row of this kind.
    #[must_use]
    pub fn row(self) -> &'static Row {
        TABLE.iter().find(|r| r.kind == self).unwrap_or(&TABLE[0])
    }
}

/// One occurrence of trouble.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Its kind.
    pub kind: Kind,
    /// What happened this time, naming the file where there is one.
    pub detail: String,
}

/// Result of work at the edge.
pub type Outcome<T> = Result<T, Fault>;

impl Fault {
    /// A fault with its detail.
    #[must_use]
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self { kind, detail: detail.into() }
    }

    /// A failed disk operation on something named.
    #[must_use]
    pub fn storage(what: impl fmt::Display, error: &std::io::Error) -> Self {
        // A full disk is emptied some time: whatever waits for it may be tried again.
        let full = matches!(error.kind(), std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded);
        let kind = if full { Kind::Unavailable } else { Kind::Storage };
        Self::new(kind, format!("{what}: {error}"))
    }

    /// The code the command line ends with.
    #[must_use]
    pub fn exit(&self) -> u8 {
        self.kind.row().exit
    }

    /// The fault as an RFC 9457 problem.
    #[must_use]
    pub fn problem(&self) -> Problem {
        let row = self.kind.row();
        Problem {
            type_: format!("/api/problems/{}", row.slug),
            title: row.title.to_owned(),
            status: row.status,
            detail: self.detail.clone(),
            advice: row.advice.to_owned(),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let row = self.kind.row();
        write!(f, "{}.\n  {}\n  {}", row.title, self.detail, row.advice)
    }
}

impl std::error::Error for Fault {}

/// An RFC 9457 problem; `advice` is an extension member saying what to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Problem {
    /// URI reference of the kind.
    #[serde(rename = "type")]
    pub type_: String,
    /// Constant title of the kind.
    pub title: String,
    /// HTTP status.
    pub status: u16,
    /// What happened this time.
    pub detail: String,
    /// What to do about it.
    pub advice: String,
}

impl Problem {
    /// The fault a problem received from a service stands for.
    #[must_use]
    pub fn into_fault(self) -> Fault {
        let slug = self.type_.rsplit('/').next().unwrap_or_default();
        let kind = TABLE.iter().find(|r| r.slug == slug).map_or(Kind::Unreachable, |r| r.kind);
        Fault { kind, detail: self.detail }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_one_row_and_every_slug_is_its_own() {
        for row in TABLE {
            assert_eq!(TABLE.iter().filter(|r| r.kind == row.kind || r.slug == row.slug).count(), 1, "{}", row.slug);
            assert!((2..=4).contains(&row.exit) && (400..600).contains(&row.status), "{}", row.slug);
        }
    }

    #[test]
    fn a_problem_comes_back_as_the_fault_it_was() {
        let fault = Fault::new(Kind::BrokenArchive, "board.zip ends early");
        assert_eq!(fault.problem().into_fault(), fault);
    }
}
