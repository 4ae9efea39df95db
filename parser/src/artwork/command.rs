//! The faithful level: what stands in the file, in order.

use super::coordinate::Coordinate;
use crate::length::{Decimal, Unit};
use crate::remark::Place;

/// A piece of the file's text, by byte offsets.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Text {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Text {
    /// The piece of `bytes` it stands for; empty where it lies outside.
    #[must_use]
    pub fn of(self, bytes: &[u8]) -> &[u8] {
        bytes.get(self.start as usize..self.end as usize).unwrap_or(&[])
    }

    /// The piece without its first `count` bytes.
    pub(super) fn without(self, count: usize) -> Self {
        let start = u32::try_from(count).unwrap_or(u32::MAX).saturating_add(self.start);
        Self { start: start.min(self.end), end: self.end }
    }

    /// The first `count` bytes of the piece.
    pub(super) fn first(self, count: usize) -> Self {
        Self { start: self.start, end: self.without(count).start }
    }
}

/// One command with its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Command {
    /// Where its word begins.
    pub place: Place,
    /// Bytes of the word, without the closing `*`.
    pub length: u32,
    /// What it says.
    pub what: What,
}

/// What an operation word does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// `D01`
    Draw,
    /// `D02`
    Move,
    /// `D03`
    Flash,
}

/// A coordinate word.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Operation {
    /// X as written.
    pub x: Coordinate,
    /// Y as written.
    pub y: Coordinate,
    /// I as written.
    pub i: Coordinate,
    /// J as written.
    pub j: Coordinate,
    /// The D code, if the word has one.
    pub act: Option<Act>,
}

/// How the pen travels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlotMode {
    /// `G01`
    Linear,
    /// `G02`
    Clockwise,
    /// `G03`
    CounterClockwise,
}

/// Which zeros a coordinate leaves out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Zeros {
    /// `L`
    LeadingOmitted,
    /// `T`
    TrailingOmitted,
    /// No letter at all.
    Unsaid,
    /// A letter that never was part of the format.
    Unknown,
}

/// A coordinate format as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FormatWord {
    /// Which zeros are left out.
    pub zeros: Zeros,
    /// `I` rather than `A`.
    pub incremental: bool,
    /// Integer and decimal digits of X.
    pub x: (u8, u8),
    /// Integer and decimal digits of Y.
    pub y: (u8, u8),
}

/// Which dictionary entry an attribute command sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AttributeKind {
    /// `TF`
    File,
    /// `TA`
    Aperture,
    /// `TO`
    Object,
}

/// A whole-image setting that is no longer part of the format.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ImageSetting {
    /// `IP`
    Polarity,
    /// `AS`
    AxisSelect,
    /// `IR`
    Rotation,
    /// `MI`
    Mirror,
    /// `OF`
    Offset,
    /// `SF`
    Scale,
}

/// What a command says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// `X..Y..I..J..D01`, `D02`, `D03`.
    Operation(Operation),
    /// `G01`, `G02`, `G03`.
    Plot(PlotMode),
    /// `G75` when true, `G74` when false.
    MultiQuadrant(bool),
    /// `Dnn`.
    Select(u32),
    /// `G36`.
    RegionStart,
    /// `G37`.
    RegionEnd,
    /// `G04`; the text behind it.
    Comment(Text),
    /// `FS`.
    Format(FormatWord),
    /// `MO`.
    Unit(Unit),
    /// `G70`, `G71`.
    LegacyUnit(Unit),
    /// `G91` when true, `G90` when false.
    Incremental(bool),
    /// `AD`.
    Aperture {
        /// Aperture number.
        number: u32,
        /// Name of the template.
        template: Text,
        /// Parameters, separated by `X`.
        parameters: Text,
    },
    /// `AM`.
    Macro {
        /// Name.
        name: Text,
        /// All words behind the name.
        body: Text,
    },
    /// `LPC` when true, `LPD` when false.
    Clear(bool),
    /// `LM`.
    Mirror {
        /// x becomes −x.
        x: bool,
        /// y becomes −y.
        y: bool,
    },
    /// `LR`.
    Rotation(Decimal),
    /// `LS`.
    Scaling(Decimal),
    /// `ABDnn`.
    BlockOpen(u32),
    /// `AB`.
    BlockClose,
    /// `SR` with parameters.
    RepeatOpen {
        /// Columns.
        columns: u32,
        /// Rows.
        rows: u32,
        /// Step in x.
        step_x: Text,
        /// Step in y.
        step_y: Text,
    },
    /// `SR`.
    RepeatClose,
    /// `TF`, `TA`, `TO`.
    Attribute {
        /// Which dictionary.
        kind: AttributeKind,
        /// Name and fields, comma between them.
        text: Text,
        /// Carried by a comment.
        in_comment: bool,
    },
    /// `TD`; the name, or nothing for all.
    AttributeDelete {
        /// Name.
        name: Text,
        /// Carried by a comment.
        in_comment: bool,
    },
    /// `IP`, `AS`, `IR`, `MI`, `OF`, `SF`.
    Image {
        /// Which one.
        setting: ImageSetting,
        /// What it is set to.
        value: Text,
    },
    /// `IN`, `LN`.
    Name(Text),
    /// `M02`, `M00`.
    End,
    /// `M01`.
    OptionalStop,
    /// Anything else.
    Unknown,
}
