//! What must hold for any bytes at all. Each `holds` panics with what was broken.
//!
//! Shared by the fuzzing targets and by the ordinary test that replays their findings.

use std::fmt::{Debug, Write};
use std::hash::{DefaultHasher, Hasher};

use landgap_parser::{LimitReached, Limits, Place, Remark};

pub mod artwork;
pub mod drill;
pub mod job;
pub mod netlist;
pub mod set;

/// Limits so small that no input may cost much time or memory.
#[must_use]
pub fn small_limits() -> Limits {
    Limits {
        bytes: 1 << 20,
        objects: 4_000,
        vertices: 20_000,
        nesting: 6,
        macro_steps: 20_000,
        hits: 4_000,
        ..Limits::default()
    }
}

/// Where the lines of a file begin; CR, LF and CR LF end one.
pub struct Lines {
    starts: Vec<u32>,
    bytes: u32,
    /// Length of the encoding's mark, which an editor does not show as columns.
    mark: u32,
}

impl Lines {
    /// The lines of `bytes`.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        let ends = |(i, b): (usize, &u8)| *b == b'\n' || (*b == b'\r' && bytes.get(i + 1) != Some(&b'\n'));
        let behind = bytes.iter().enumerate().filter(|e| ends(*e)).map(|(i, _)| i as u32 + 1);
        let mark = if bytes.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
        Self { starts: std::iter::once(0).chain(behind).collect(), bytes: bytes.len() as u32, mark }
    }

    /// A line that may be shown to a person; 0 means the file as a whole.
    pub fn hold_line(&self, line: u32) {
        assert!(line as usize <= self.starts.len(), "line {line} of a file of {} lines", self.starts.len());
    }

    /// A place inside the file.
    pub fn hold(&self, place: Place) {
        self.hold_line(place.line);
        assert!(place.offset <= self.bytes && place.column <= self.bytes + 1, "{place:?} outside {} bytes", self.bytes);
    }

    /// A place whose line, column and offset mean the same byte.
    pub fn hold_exactly(&self, place: Place) {
        self.hold(place);
        let line = self.starts.partition_point(|s| *s <= place.offset);
        let column = place.offset - self.starts[line - 1] + 1;
        let shown = if line == 1 && place.offset >= self.mark { column - self.mark } else { column };
        let right = place.line as usize == line && (place.column == column || place.column == shown);
        assert!(right, "line and column of {place:?}: {line} and {column}");
    }

    /// What is said of a file points into it, in order.
    pub fn hold_remarks(&self, remarks: &[Remark]) {
        remarks.iter().for_each(|r| self.hold(r.place));
        let by_offset = remarks.is_sorted_by_key(|r| r.place.offset);
        // One that knows its line only has no offset of its own.
        assert!(by_offset || remarks.is_sorted_by_key(|r| r.place.line), "remarks out of order");
    }

    /// A limit is reached inside the file, and only above what it allows.
    pub fn hold_limit(&self, limit: &LimitReached) {
        self.hold_line(limit.line);
        assert!(limit.reached > limit.allowed, "{limit:?}");
    }
}

/// A mark of everything `value` holds: equal values give equal marks.
#[must_use]
pub fn mark(value: &impl Debug) -> u64 {
    struct Into(DefaultHasher);
    impl Write for Into {
        fn write_str(&mut self, text: &str) -> std::fmt::Result {
            self.0.write(text.as_bytes());
            Ok(())
        }
    }
    let mut into = Into(DefaultHasher::new());
    write!(into, "{value:?}").expect("a hasher takes everything");
    into.0.finish()
}

/// What `value` holds, apart from the lines it came from.
#[must_use]
pub fn without_lines(value: &impl Debug) -> String {
    let text = format!("{value:?}");
    let mut parts = text.split("line: ");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |out, part| out + part.trim_start_matches(|c: char| c.is_ascii_digit()))
}

/// Up to `most` of the values, spread evenly.
pub fn some_of(values: &[usize], most: usize) -> impl Iterator<Item = usize> {
    let count = values.len().min(most);
    (0..count).map(move |i| values[i * values.len() / count])
}
