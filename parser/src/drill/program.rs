//! The faithful level: a program as it stands in the file.

use super::evidence::Evidence;
use super::format::literal_nm;
use super::hits::{Format, FormatClue, Plating, Statements};
use super::words::{Number, Word};
use crate::length::{Decimal, Nm, Unit};
use crate::remark::{Place, Remark};

/// A drill or rout program as read, before its numbers are worth anything.
#[derive(Clone, Debug, Default)]
pub struct Program {
    /// What the program says of itself, outside its numbers.
    pub statements: Statements,
    /// The format the program states, gaps filled with the likeliest defaults; `None` without a unit.
    pub stated: Option<Format>,
    /// Whether `stated` holds no default and nothing in the program speaks against it.
    pub stated_fully: bool,
    /// What speaks for a format, in order of line.
    pub clues: Vec<FormatClue>,
    /// Whether every number carries a point, so that only the unit can be open.
    pub all_decimal: bool,
    /// Tools by order of declaration.
    pub tools: Vec<ToolDeclaration>,
    /// Remarks of reading; decoding adds its own.
    pub remarks: Vec<Remark>,
    /// The commands in order.
    pub lines: Vec<Line>,
    pub(super) words: Vec<Word>,
    pub(super) evidence: Evidence,
    pub(super) command_set: Option<u32>,
    pub(super) selects_tools: bool,
    pub(super) last_work: usize,
    pub(super) end: Place,
}

impl Program {
    /// The words of a line.
    #[must_use]
    pub fn words(&self, line: &Line) -> &[Word] {
        self.words.get(line.first as usize..line.end as usize).unwrap_or_default()
    }

    /// The formats the numbers may be written in, the stated one first; of those that give the
    /// same points only one.
    #[must_use]
    pub fn candidates(&self) -> Vec<Format> {
        self.evidence.candidates()
    }
}

/// One line of commands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Line {
    /// Where it starts.
    pub place: Place,
    /// The tool it declares, as an index into [`Program::tools`].
    pub tool: Option<u32>,
    pub(super) first: u32,
    pub(super) end: u32,
    pub(super) in_header: bool,
}

impl Line {
    /// Whether it stands before the first command that needs no header.
    #[must_use]
    pub const fn is_header(&self) -> bool {
        self.in_header
    }
}

/// A tool as the program declares it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToolDeclaration {
    /// Its number.
    pub number: u32,
    /// The size behind `C`, in the unit of the program.
    pub size: Option<Number>,
    /// What comments say of it.
    pub comment: CommentTool,
    /// Plated or not, where a comment or attribute at the tool says so.
    pub plating: Option<Plating>,
    /// Value of `.AperFunction` standing at the tool.
    pub function: Option<String>,
    /// Value of `.DrillTolerance` standing at the tool: plus and minus, in the unit of the program.
    pub tolerance: Option<(Decimal, Decimal)>,
    /// Where it is declared.
    pub place: Place,
    /// Whether the header declares it.
    pub in_header: bool,
}

impl ToolDeclaration {
    /// The size as written with a point, which holds in any format; `None` without one.
    #[must_use]
    pub fn size_with_point(&self) -> Option<Number> {
        self.size.filter(|n| n.decimals.is_some())
    }
}

/// What comments say of a tool.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CommentTool {
    /// Its size.
    pub size: Option<CommentSize>,
    /// How many holes it makes.
    pub quantity: Option<u32>,
    /// Plated or not.
    pub plating: Option<Plating>,
    /// Line of the comment.
    pub line: u32,
}

/// A size in a comment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CommentSize {
    /// The number as written.
    pub number: Number,
    /// Its unit; `None` means the unit of the program.
    pub unit: Option<SizeUnit>,
}

/// Unit of a size in a comment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeUnit {
    /// Millimetres.
    Millimetre,
    /// Inches.
    Inch,
    /// Thousandths of an inch.
    Mil,
}

impl CommentSize {
    /// The size in nanometres, `unit` being that of the program.
    #[must_use]
    pub fn nm(&self, unit: Unit) -> Option<Nm> {
        match self.unit {
            None => literal_nm(&self.number, unit),
            Some(SizeUnit::Millimetre) => literal_nm(&self.number, Unit::Millimetre),
            Some(SizeUnit::Inch) => literal_nm(&self.number, Unit::Inch),
            Some(SizeUnit::Mil) => {
                let decimals = u32::from(self.number.decimals.unwrap_or(0)) + 3;
                crate::length::scale(self.number.signed(), decimals, Unit::Inch.nm())
            }
        }
    }
}
