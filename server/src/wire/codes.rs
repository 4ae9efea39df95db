//! Every code a remark can have, in one table.

use landgap_parser::limits::LIMIT_REACHED;
use landgap_parser::{Code, artwork, drill, job, netlist};
use landgap_rules::{netlist as nets, place::contradict};
use serde::Serialize;

use super::remark::severity;
use crate::fault::{self, Kind};

/// One code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct CodeRow {
    /// Stable identifier.
    pub code: &'static str,
    /// `error`, `warning` or `info`.
    pub severity: &'static str,
    /// What the remark is about.
    pub about: &'static str,
    /// Clause of the standard, or the reason where no standard speaks.
    pub clause: &'static str,
    /// What the sender should do about it.
    pub action: &'static str,
}

/// Faults that keep an entry from being taken in; the entry's remark has the fault's own name. Where
/// a limit did, the code is that of [`LIMIT_REACHED`].
const LEFT_OUT: [Kind; 4] = [Kind::BrokenArchive, Kind::UnreadArchive, Kind::RefusedEntry, Kind::UnreadablePath];

/// The table: by what the remark is about, then as its readers list them.
#[must_use]
pub fn table() -> Vec<CodeRow> {
    let parts: [(&'static str, &[&'static Code]); 7] = [
        ("artwork", artwork::codes::ALL),
        ("drill data", drill::codes::ALL),
        ("netlist", netlist::codes::ALL),
        ("job file", job::codes::ALL),
        ("one file against another", contradict::codes::ALL),
        ("netlist against drill data", nets::codes::ALL),
        ("any file", &[&LIMIT_REACHED]),
    ];
    let read = parts.into_iter().flat_map(|(about, codes)| codes.iter().copied().map(move |c| row(about, c)));
    read.chain(fault::TABLE.iter().filter(|r| LEFT_OUT.contains(&r.kind)).map(left_out)).collect()
}

const fn row(about: &'static str, code: &'static Code) -> CodeRow {
    CodeRow { code: code.id, severity: severity(code.severity), about, clause: code.clause, action: code.action }
}

const fn left_out(row: &'static fault::Row) -> CodeRow {
    CodeRow {
        code: row.slug,
        severity: "error",
        about: "an entry left out",
        clause: "what cannot be taken in safely and whole is left out and asked about",
        action: row.advice,
    }
}
