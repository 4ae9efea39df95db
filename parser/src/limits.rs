//! What one file may cost to read. A limit is checked before the cost is paid.

use std::fmt;

use crate::remark::{Code, Place, Remark, Severity};

/// A file of which the reading stopped at a limit.
pub static LIMIT_REACHED: Code = Code {
    id: "limit-reached",
    severity: Severity::Fatal,
    clause: "a file may not cost more to read than is allowed",
    action: "Send simpler data, or raise the limit named.",
};

/// Bounds on what a single file may ask of the reader.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes in one file.
    pub bytes: u64,
    /// Objects in the image after repeats and blocks are expanded.
    pub objects: u64,
    /// Corner points in the image, region contours and macro outlines together.
    pub vertices: u64,
    /// Corner points of one contour: what uniting it costs can grow with their square.
    pub contour: u64,
    /// Pairs of edges looked at for contours of a file that meet themselves.
    pub contour_pairs: u64,
    /// Blocks inside blocks.
    pub nesting: u64,
    /// Macro words and operators evaluated.
    pub macro_steps: u64,
    /// Holes, slots and routed paths after repeats are expanded.
    pub hits: u64,
    /// Records of a netlist, the names in its lists included.
    pub records: u64,
    /// Remarks kept of one file; further ones are counted, not kept.
    pub remarks: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            bytes: 64 << 20,
            objects: 2_000_000,
            vertices: 2_000_000,
            contour: 100_000,
            contour_pairs: 100_000_000,
            nesting: 32,
            macro_steps: 4_000_000,
            hits: 2_000_000,
            records: 1_500_000,
            remarks: 200,
        }
    }
}

/// A limit that stopped the reading of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LimitReached {
    /// The limit's name, as in [`Limits`].
    pub limit: &'static str,
    /// The value it is set to.
    pub allowed: u64,
    /// The value that was asked for.
    pub reached: u64,
    /// Line of the file where it was reached, from 1.
    pub line: u32,
}

impl fmt::Display for LimitReached {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "line {}: the limit \"{}\" is {}, and this file asks for {}; raise the limit or send simpler data",
            self.line, self.limit, self.allowed, self.reached
        )
    }
}

impl std::error::Error for LimitReached {}

impl LimitReached {
    /// The limit as a remark on the file.
    #[must_use]
    pub fn remark(&self) -> Remark {
        Remark {
            code: &LIMIT_REACHED,
            place: Place { line: self.line, column: 1, offset: 0 },
            found: format!("the limit \"{}\" is {}, and this file asks for {}", self.limit, self.allowed, self.reached),
            expected: String::new(),
            more: 0,
            two_readings: Vec::new(),
        }
    }
}

impl Limits {
    /// `Ok` while `reached` is within `allowed`, else the limit by name.
    ///
    /// # Errors
    /// [`LimitReached`] naming the limit and both values.
    pub fn check(limit: &'static str, allowed: u64, reached: u64, line: u32) -> Result<(), LimitReached> {
        if reached <= allowed { Ok(()) } else { Err(LimitReached { limit, allowed, reached, line }) }
    }
}
