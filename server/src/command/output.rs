//! Prints reports in the format asked for, to standard output or a file.

use std::fs;
use std::io::{IsTerminal, Write};
use std::path::Path;

use landgap_rules::capability::Capability;

use super::args::{Format, How};
use crate::fault::{Fault, Kind, Outcome};
use crate::print::{self, csv, json, junit, mail, sarif, text, xlsx};
use crate::wire::Report;

/// Reports in a format that is printed from reports alone; `None` for the forms that need figures.
pub fn printed(reports: &[Report], capabilities: &[Capability], how: &How) -> Outcome<Option<Vec<u8>>> {
    let one = |print: &dyn Fn(&Report) -> Outcome<Vec<u8>>| reports.first().map_or_else(|| Ok(Vec::new()), print);
    Ok(Some(match how.format {
        Format::Text => text::print(reports, capabilities).into_bytes(),
        Format::Json => json::print(reports, capabilities)?.into_bytes(),
        Format::Sarif => sarif::print(reports)?.into_bytes(),
        Format::Junit => junit::print(reports, how.fail_on).into_bytes(),
        Format::Csv => csv::print(reports).into_bytes(),
        Format::Xlsx => one(&xlsx::print)?,
        Format::Mail => one(&|r| Ok(mail::print(r).into_bytes()))?,
        Format::Html | Format::Pdf => return Ok(None),
    }))
}

/// Refuses what no format can show.
pub fn expect_possible(how: &How) -> Outcome<()> {
    let is_form = matches!(how.format, Format::Html | Format::Pdf | Format::Xlsx | Format::Mail);
    if is_form && how.capability.len() > 1 {
        return Err(Fault::new(
            Kind::Usage,
            "A form is made against one capability profile: give --capability once with --format html, pdf, xlsx or mail.",
        ));
    }
    let is_binary = matches!(how.format, Format::Pdf | Format::Xlsx);
    if is_binary && how.out.is_none() && std::io::stdout().is_terminal() {
        return Err(Fault::new(Kind::Usage, "This format is not for a terminal: say --out PATH."));
    }
    Ok(())
}

/// Writes the text and gives the exit code.
pub fn finish(text: &[u8], reports: &[Report], how: &How) -> Outcome<u8> {
    write_bytes(text, how.out.as_deref())?;
    Ok(print::exit_code(reports, how.fail_on))
}

/// Writes text to a file, or to standard output.
pub fn write(text: &str, out: Option<&Path>) -> Outcome<()> {
    write_bytes(text.as_bytes(), out)
}

fn write_bytes(text: &[u8], out: Option<&Path>) -> Outcome<()> {
    match out {
        Some(path) => fs::write(path, text).map_err(|e| Fault::storage(format!("--out {}", path.display()), &e)),
        None => {
            let mut stdout = std::io::stdout().lock();
            // A reader that closed the pipe has all it wants.
            match stdout.write_all(text).and_then(|()| stdout.flush()) {
                Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(Fault::storage("standard output", &e)),
                _ => Ok(()),
            }
        }
    }
}
