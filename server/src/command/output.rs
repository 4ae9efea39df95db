//! Prints reports in the format asked for, to standard output or a file.

use std::fs;
use std::io::Write;
use std::path::Path;

use landgap_rules::capability::Capability;

use super::args::{Format, How};
use crate::fault::{Fault, Kind, Outcome};
use crate::print::{self, csv, json, junit, sarif, text};
use crate::wire::Report;

/// Reports in a format that is printed from reports alone; `None` for the form, which needs figures.
pub fn printed(reports: &[Report], capabilities: &[Capability], how: &How) -> Outcome<Option<String>> {
    Ok(Some(match how.format {
        Format::Text => text::print(reports, capabilities),
        Format::Json => json::print(reports, capabilities)?,
        Format::Sarif => sarif::print(reports)?,
        Format::Junit => junit::print(reports, how.fail_on),
        Format::Csv => csv::print(reports),
        Format::Html => return Ok(None),
    }))
}

/// Refuses what no format can show.
pub fn expect_possible(how: &How) -> Outcome<()> {
    if how.format == Format::Html && how.capability.len() > 1 {
        return Err(Fault::new(
            Kind::Usage,
            "A form is made against one capability profile: give --capability once with --format html.",
        ));
    }
    Ok(())
}

/// Writes the text and gives the exit code.
pub fn finish(text: &str, reports: &[Report], how: &How) -> Outcome<u8> {
    write(text, how.out.as_deref())?;
    Ok(print::exit_code(reports, how.fail_on))
}

/// Writes to a file, or to standard output.
pub fn write(text: &str, out: Option<&Path>) -> Outcome<()> {
    match out {
        Some(path) => fs::write(path, text).map_err(|e| Fault::storage(format!("--out {}", path.display()), &e)),
        None => {
            let mut stdout = std::io::stdout().lock();
            // A reader that closed the pipe has all it wants.
            match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
                Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Fault::storage("standard output", &e)),
                _ => Ok(()),
            }
        }
    }
}
