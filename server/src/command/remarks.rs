//! `landgap remarks`.

use std::fmt::Write;

use super::args::Remarks;
use super::output;
use crate::fault::{Fault, Kind, Outcome};
use crate::wire::codes::{CodeRow, table};

/// Prints the codes that begin as asked; all of them where nothing is.
pub fn run(remarks: &Remarks) -> Outcome<u8> {
    let beginning = remarks.code.as_deref().unwrap_or_default();
    let rows: Vec<CodeRow> = table().into_iter().filter(|r| r.code.starts_with(beginning)).collect();
    if rows.is_empty() {
        return Err(Fault::new(
            Kind::Usage,
            format!("No remark has a code that begins with {beginning:?}. landgap remarks lists them all."),
        ));
    }
    let mut out = String::new();
    for row in rows {
        let _ = writeln!(
            out,
            "{}\n  {}, {}\n  source: {}\n  {}",
            row.code, row.severity, row.about, row.clause, row.action
        );
    }
    output::write(&out, None).map(|()| 0)
}
