//! Lines and their columns.

use crate::remark::Place;

/// One line without its end, columns counted from its first character.
#[derive(Clone, Copy, Debug)]
pub(super) struct Record<'a> {
    pub place: Place,
    pub text: &'a [u8],
    /// Blanks before the first character.
    pub indent: u32,
}

impl<'a> Record<'a> {
    /// The text of columns `from` to `to`, both counted from 1; shorter where the line ends.
    pub fn columns(&self, from: usize, to: usize) -> &'a [u8] {
        let end = to.min(self.text.len());
        self.text.get(from.saturating_sub(1)..end).unwrap_or_default()
    }

    /// Everything from column `from` on.
    pub fn from(&self, from: usize) -> &'a [u8] {
        self.columns(from, usize::MAX)
    }

    /// The character in a column; a blank behind the end.
    pub fn column(&self, column: usize) -> u8 {
        let byte = self.text.get(column.saturating_sub(1)).copied().unwrap_or(b' ');
        if is_blank(byte) { b' ' } else { byte }
    }

    /// The place of a column, counted from 1.
    pub fn at(&self, column: usize) -> Place {
        // A short record ends before the column.
        let ahead = u32::try_from(column.saturating_sub(1).min(self.text.len())).unwrap_or(u32::MAX);
        Place {
            line: self.place.line,
            column: self.place.column.saturating_add(ahead),
            offset: self.place.offset.saturating_add(ahead),
        }
    }
}

/// Whether a byte separates fields: blanks, tabs and control characters.
pub(super) fn is_blank(byte: u8) -> bool {
    byte == b' ' || byte.is_ascii_control()
}

/// Text without blanks at either end.
pub(super) fn trimmed(text: &[u8]) -> &[u8] {
    let Some(from) = text.iter().position(|b| !is_blank(*b)) else { return &[] };
    let to = text.iter().rposition(|b| !is_blank(*b)).unwrap_or(from);
    text.get(from..=to).unwrap_or_default()
}

/// The words of a text.
pub(super) fn words(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    text.split(|b| is_blank(*b)).filter(|w| !w.is_empty())
}

/// The first word of a text and what follows it.
pub(super) fn first_word(text: &[u8]) -> (&[u8], &[u8]) {
    let text = trimmed(text);
    let end = text.iter().position(|b| is_blank(*b)).unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    (word, trimmed(rest))
}

/// Bytes of the file as text; what is no UTF-8 is replaced, with a remark elsewhere.
pub(super) fn owned(text: &[u8]) -> String {
    String::from_utf8_lossy(text).into_owned()
}

/// Text of a file for a remark: printable, and not longer than a line of print.
pub(super) fn quoted(text: &[u8]) -> String {
    let shown = text.get(..text.len().min(40)).unwrap_or(text);
    let dots = if shown.len() < text.len() { "…" } else { "" };
    format!("\"{}{dots}\"", shown.escape_ascii().to_string().replace("\\\"", "\"").replace("\\'", "'"))
}

/// The lines of a file that hold anything, numbered as CR, LF or CR LF end them.
pub(super) fn records(bytes: &[u8]) -> impl Iterator<Item = Record<'_>> {
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let mut offset = bytes.len().saturating_sub(body.len());
    let mut number = 0u32;
    let mut after_cr = false;
    body.split_inclusive(|b| matches!(b, b'\r' | b'\n')).filter_map(move |line| {
        let start = offset;
        offset = offset.saturating_add(line.len());
        let rest_of_crlf = after_cr && line == b"\n";
        after_cr = line.ends_with(b"\r");
        number = number.saturating_add(u32::from(!rest_of_crlf));
        let text = trimmed(line);
        let skip = line.iter().position(|b| !is_blank(*b))?;
        let indent = u32::try_from(skip).unwrap_or(u32::MAX);
        let at = u32::try_from(start.saturating_add(skip)).unwrap_or(u32::MAX);
        let place = Place { line: number, column: indent.saturating_add(1), offset: at };
        Some(Record { place, text, indent })
    })
}

/// How many lines a file has.
pub(super) fn line_count(bytes: &[u8]) -> u32 {
    let mut count = 0u32;
    let mut after_cr = false;
    for line in bytes.split_inclusive(|b| matches!(b, b'\r' | b'\n')) {
        let rest_of_crlf = after_cr && line == b"\n";
        after_cr = line.ends_with(b"\r");
        count = count.saturating_add(u32::from(!rest_of_crlf));
    }
    count
}
