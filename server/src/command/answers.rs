//! `landgap answers`: answers typed into a form's spreadsheet, as JSON.

use std::fs;

use super::args::Answers;
use super::output;
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::answers;
use crate::print::json::pretty;

/// Reads and prints.
pub fn run(asked: &Answers) -> Outcome<u8> {
    let shown = asked.file.display().to_string();
    let bytes = fs::read(&asked.file).map_err(|e| Fault::new(Kind::BadAnswers, format!("{shown}: {e}.")))?;
    let read = answers::read(&shown, &bytes)?;
    output::write(&(pretty(&read)? + "\n"), asked.out.as_deref()).map(|()| 0)
}
