//! Job files: the JSON file that lists a set, its board and its stack.
//!
//! No published text of the format was at hand. Keys are those seen in public job files, and lengths
//! are taken as millimetres; both are common practice, no source. The notation is RFC 8259.
//!
//! The text is read by a small reader of our own rather than a general one, because a remark needs
//! the line of every value, lengths need the digits as written, and a file cut short should still
//! give what it holds.

#![deny(clippy::arithmetic_side_effects)]

mod build;
pub mod codes;
pub mod function;
mod json;
mod model;
mod number;
mod path;
mod sections;
mod text;

pub use model::{
    DesignRules, FilePolarity, Header, Job, LayerKind, ListedFile, Project, Rule, Side, Size, Specifications,
    StackLayer, Stated,
};

use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remarks};

/// More than any set needs.
const MOST_BYTES: u64 = 16 << 20;

/// Reads a job file.
///
/// # Errors
/// Only where the file asks for more than `limits` allow; bad data gives remarks instead.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Job, LimitReached> {
    Limits::check("bytes", limits.bytes.min(MOST_BYTES), bytes.len() as u64, 1)?;
    let mut remarks = Remarks::default();
    let start = if bytes.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
    let text = bytes.get(start..).unwrap_or_default();
    let first = text.iter().find(|b| !b.is_ascii_whitespace());
    let Some(first) = first else {
        remarks.note(&codes::EMPTY, Place { line: 1, column: 1, offset: 0 }, "a file without text", "a job file");
        return Ok(Job { remarks: remarks.into_sorted(), ..Job::default() });
    };
    if *first != b'{' {
        not_json(text, &mut remarks);
        return Ok(Job { remarks: remarks.into_sorted(), ..Job::default() });
    }
    let root = json::read(bytes, start, limits, &mut remarks)?;
    Ok(build::job(root.as_ref(), limits, remarks))
}

/// Says what a file that does not begin as JSON is.
fn not_json(text: &[u8], remarks: &mut Remarks) {
    let place = Place { line: 1, column: 1, offset: 0 };
    let wide = text.starts_with(b"\xFF\xFE") || text.starts_with(b"\xFE\xFF") || text.contains(&0);
    if wide {
        remarks.note(&codes::NOT_TEXT, place, "bytes that are not text in UTF-8", "JSON text in UTF-8");
    } else {
        let found = format!("text that begins with {}", text::show(text));
        remarks.note(&codes::OLD_TEXT, place, found, "a job file in JSON, which begins with {");
    }
}
