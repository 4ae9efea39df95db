//! What a drill or rout program comes to: tools and hits in nanometres.

use crate::image::{Edge, FileAttribute};
use crate::length::{Nm, Unit};
use crate::point::Point;
use crate::remark::Remark;

/// How the numbers of a program are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Format {
    /// Unit of coordinates and tool sizes.
    pub unit: Unit,
    /// Which zeros are kept in numbers without a point.
    pub zeros: Zeros,
    /// Digits before the point.
    pub integer: u32,
    /// Digits behind the point.
    pub decimals: u32,
}

/// Which zeros are kept in numbers that carry no decimal point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Zeros {
    /// `LZ`: leading zeros are kept, trailing ones may be dropped.
    Leading,
    /// `TZ`: trailing zeros are kept, leading ones may be dropped.
    Trailing,
}

/// Something in the program that speaks for a format, in plain words with its line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormatClue {
    /// Line it stands on; 0 where it comes from the numbers as a whole.
    pub line: u32,
    /// What it says.
    pub text: String,
}

/// A program in nanometres.
#[derive(Clone, Debug)]
pub struct HoleImage {
    /// The format it was decoded with.
    pub format: Format,
    /// Smallest coordinate step of that format.
    pub step: Nm,
    /// Tools by order of declaration (or first use).
    pub tools: Vec<Tool>,
    /// Holes, slots and routed paths in order.
    pub hits: Vec<Hit>,
    /// Remarks of reading and of decoding.
    pub remarks: Vec<Remark>,
}

/// A tool of the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tool {
    /// Its number.
    pub number: u32,
    /// Its diameter, taken as the finished size; `None` where the program does not give one.
    pub diameter: Option<Nm>,
    /// Plated or not, where a comment or attribute at the tool says so.
    pub plating: Option<Plating>,
    /// Value of `.AperFunction` standing at the tool, such as `ViaDrill`.
    pub function: Option<String>,
    /// How much larger and how much smaller its holes may come out, from `.DrillTolerance`.
    pub tolerance: Option<(Nm, Nm)>,
    /// Line it is declared (or first used) on.
    pub line: u32,
}

/// Whether a hole's wall carries copper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Plating {
    /// Copper on the wall.
    Plated,
    /// No copper on the wall.
    NonPlated,
}

/// One hole, slot or routed path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hit {
    /// Index into [`HoleImage::tools`].
    pub tool: u32,
    /// Where and what.
    pub shape: HitShape,
    /// Line that made it.
    pub line: u32,
}

/// The path of a tool's axis.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HitShape {
    /// Straight down.
    Hole {
        /// Axis.
        at: Point,
    },
    /// A straight slot between two axes.
    Slot {
        /// First axis.
        from: Point,
        /// Last axis.
        to: Point,
    },
    /// A routed path of lines and arcs.
    Route {
        /// Where the tool plunges.
        start: Point,
        /// The path.
        edges: Vec<Edge>,
    },
}

/// What the file says of itself, outside its numbers.
#[derive(Clone, Debug, Default)]
pub struct Statements {
    /// Attributes carried by `; #@!` comments.
    pub file_attributes: Vec<FileAttribute>,
    /// Plating for the whole file, where a header comment or attribute says so, and the line.
    pub plating: Option<(Plating, u32)>,
    /// First and last copper layer the holes span, where stated.
    pub span: Option<(u32, u32)>,
}
