//! Artwork (RS-274X, X2, X3): the faithful list of commands, and the image they draw.
//!
//! Words → commands → image. Each step only looks at the one before it; what it notices on the way
//! is told in one list of remarks.

#![deny(clippy::arithmetic_side_effects)]

mod aperture;
mod arc;
mod attributes;
mod block;
mod boxes;
pub mod codes;
mod command;
mod coordinate;
mod crossing;
mod draw;
mod expression;
mod extended;
mod legacy;
mod macro_;
mod notes;
mod number;
mod placing;
mod primitive;
mod read;
mod region;
mod sides;
mod state;
mod unclear;
mod winding;
mod word;
mod write;

pub use command::{Act, AttributeKind, Command, FormatWord, ImageSetting, Operation, PlotMode, Text, What, Zeros};
pub use coordinate::Coordinate;
pub use write::write_commands;

use crate::image::Image;
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remark, Remarks};

/// What one artwork file says and draws.
#[derive(Clone, Debug, Default)]
pub struct Artwork {
    /// The commands as they stand in the file.
    pub commands: Vec<Command>,
    /// The objects they draw.
    pub image: Image,
    /// What was noticed, in order of place.
    pub remarks: Vec<Remark>,
}

/// Reads an artwork file.
///
/// # Errors
/// Only where the file asks for more than `limits` allow; bad data gives remarks instead.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Artwork, LimitReached> {
    check_size(bytes, limits)?;
    if let Some(remark) = not_text(bytes) {
        return Ok(Artwork { remarks: vec![remark], ..Artwork::default() });
    }
    let (commands, remarks) = read::commands(bytes, limits)?;
    let mut reader = state::Reader::new(bytes, &commands, limits, remarks);
    reader.run()?;
    let (image, remarks) = reader.into_parts();
    Ok(Artwork { commands, image, remarks })
}

/// Reads the commands alone, with the remarks that need no image.
///
/// # Errors
/// Only where the file asks for more than `limits` allow; bad data gives remarks instead.
pub fn read_commands(bytes: &[u8], limits: &Limits) -> Result<(Vec<Command>, Vec<Remark>), LimitReached> {
    check_size(bytes, limits)?;
    if let Some(remark) = not_text(bytes) {
        return Ok((Vec::new(), vec![remark]));
    }
    let (commands, remarks) = read::commands(bytes, limits)?;
    Ok((commands, remarks.into_sorted()))
}

fn check_size(bytes: &[u8], limits: &Limits) -> Result<(), LimitReached> {
    let most = limits.bytes.min(u64::from(u32::MAX));
    Limits::check("bytes", most, bytes.len() as u64, 1)
}

/// A remark where the bytes cannot be artwork at all.
fn not_text(bytes: &[u8]) -> Option<Remark> {
    let wide = bytes.starts_with(b"\xFF\xFE") || bytes.starts_with(b"\xFE\xFF");
    let zero = bytes.iter().position(|b| *b == 0);
    let (at, found) = match (wide, zero) {
        (true, _) => (0, "text of two bytes a character (UTF-16)"),
        (false, Some(at)) => (at, "a zero byte"),
        (false, None) => return None,
    };
    let before = &bytes[..at];
    let line_start = before.iter().rposition(|b| matches!(b, b'\r' | b'\n')).map_or(0, |p| p.saturating_add(1));
    let pairs = before.windows(2).filter(|w| w == b"\r\n").count();
    let ends = before.iter().filter(|b| matches!(b, b'\r' | b'\n')).count();
    let from_one = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).saturating_add(1);
    let place = Place {
        line: from_one(ends.saturating_sub(pairs)),
        column: from_one(at.saturating_sub(line_start)),
        offset: at as u32,
    };
    let mut remarks = Remarks::default();
    remarks.note(&codes::NOT_TEXT, place, found, "printable text");
    remarks.into_sorted().pop()
}
