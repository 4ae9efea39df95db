//! The board in mind: files with their roles, copper layers in order, holes, outline.

use landgap_parser::kind::Kind;
use landgap_parser::{Contour, Image, Nm, Point, Remark};

mod feature;
mod hole;
mod reason;
mod registration;

pub use feature::{Feature, FeatureKind, Part};
pub use hole::{Hole, HoleKind, HolePlating};
pub use reason::{Function, LandFunction, Layers, Reason, Sides};
pub use registration::{Laid, ROUNDING, Registration, Residual};

/// A set of files placed as one board.
#[derive(Debug, Default)]
pub struct Board {
    /// Every file of the set, in order of path, with what it is and why.
    pub files: Vec<PlacedFile>,
    /// Images of the artwork files, by index into `files`; `None` for all other files.
    pub images: Vec<Option<Image>>,
    /// Copper layers from the top (1) down; `copper[i].number == i + 1`.
    pub copper: Vec<CopperLayer>,
    /// Solder mask files by side.
    pub masks: Vec<SideLayer>,
    /// Legend files by side.
    pub legends: Vec<SideLayer>,
    /// Paste files by side.
    pub pastes: Vec<SideLayer>,
    /// How files lie on one another, in order of file.
    pub registrations: Vec<Registration>,
    /// The board's edge.
    pub outline: Outline,
    /// Every hole, slot and routed path of the drill data, in file order.
    pub holes: Vec<Hole>,
    /// What was recognised besides single holes, in order of kind and place.
    pub features: Vec<Feature>,
    /// Netlists of the set, with their file.
    pub netlists: Vec<(u32, landgap_parser::netlist::Netlist)>,
    /// Whether edges are to be plated, where the job file says so.
    pub edge_plating: Option<bool>,
    /// What was assumed while placing, in plain sentences.
    pub assumptions: Vec<String>,
    /// What could not be decided or does not fit together.
    pub doubts: Vec<Doubt>,
}

/// A file and a line in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Source {
    /// Index into [`Board::files`].
    pub file: u32,
    /// Line from 1; 0 where the file as a whole is meant.
    pub line: u32,
}

/// A file and what it was found to be.
#[derive(Debug)]
pub struct PlacedFile {
    /// Path inside the set, with `/`.
    pub path: String,
    /// Size.
    pub bytes: u64,
    /// What the bytes are.
    pub kind: Kind,
    /// What the file is for.
    pub role: Role,
    /// Side of the board, where the role has one.
    pub side: Option<Side>,
    /// Copper layer from the top, for copper.
    pub layer: Option<u32>,
    /// First and last copper layer, for holes.
    pub span: Option<(u32, u32)>,
    /// What the decision rests on.
    pub known_by: KnownBy,
    /// How sure, 0 to 100.
    pub confidence: u8,
    /// The evidence, in plain sentences.
    pub evidence: Vec<String>,
    /// The next best reading, in plain words.
    pub runner_up: Option<String>,
    /// Remarks of the reader.
    pub remarks: Vec<Remark>,
    /// How its numbers were read, for drill files, in plain words.
    pub format: Option<String>,
}

/// What a file is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// A copper layer.
    Copper,
    /// Solder mask (drawn as openings).
    Mask,
    /// Legend.
    Legend,
    /// Solder paste.
    Paste,
    /// The board's edge.
    Outline,
    /// Plated holes.
    PlatedHoles,
    /// Non-plated holes.
    UnplatedHoles,
    /// Holes, plating not stated for the file as a whole.
    Holes,
    /// Netlist.
    Netlist,
    /// Job file.
    Job,
    /// A drawing, report or note.
    Drawing,
    /// Known, but none of the above (glue, courtyard, comments, empty user layers).
    Other,
    /// Could not be told.
    Unclear,
}

impl Role {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Copper => "copper",
            Self::Mask => "mask",
            Self::Legend => "legend",
            Self::Paste => "paste",
            Self::Outline => "outline",
            Self::PlatedHoles => "plated-holes",
            Self::UnplatedHoles => "unplated-holes",
            Self::Holes => "holes",
            Self::Netlist => "netlist",
            Self::Job => "job",
            Self::Drawing => "drawing",
            Self::Other => "other",
            Self::Unclear => "unclear",
        }
    }
}

/// A side of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The first copper layer's side.
    Top,
    /// The last copper layer's side.
    Bottom,
    /// Between them.
    Inner,
}

impl Side {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
            Self::Inner => "inner",
        }
    }
}

/// What a decision about a file rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum KnownBy {
    /// The user said so.
    Told,
    /// An attribute inside the file.
    Attribute,
    /// The job file.
    Job,
    /// The file's name.
    Name,
    /// What the file holds.
    Content,
}

impl KnownBy {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Told => "told",
            Self::Attribute => "attribute",
            Self::Job => "job",
            Self::Name => "name",
            Self::Content => "content",
        }
    }
}

/// A copper layer of the board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CopperLayer {
    /// From the top, 1 first.
    pub number: u32,
    /// Outer or inner.
    pub side: Side,
    /// Index into [`Board::files`].
    pub file: u32,
    /// Drawn as a negative: what the file draws is free of copper.
    pub negative: bool,
}

/// A mask, legend or paste file with its side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SideLayer {
    /// Top or bottom.
    pub side: Side,
    /// Index into [`Board::files`].
    pub file: u32,
}

/// The layer a fact or query is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LayerRef {
    /// Copper layer by number from the top.
    Copper(u32),
    /// Solder mask of a side.
    Mask(Side),
    /// Legend of a side.
    Legend(Side),
}

impl LayerRef {
    /// The name a person reads: "copper 1", "top mask".
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Copper(number) => format!("copper {number}"),
            Self::Mask(side) => format!("{} mask", side.word()),
            Self::Legend(side) => format!("{} legend", side.word()),
        }
    }
}

/// How the outline was come by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OutlineState {
    /// Closed contours from an outline file.
    Closed,
    /// An outline file that does not close.
    Open,
    /// Taken from another layer; must be confirmed.
    Assumed,
    /// None found.
    #[default]
    Missing,
}

impl OutlineState {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::Open => "open",
            Self::Assumed => "assumed",
            Self::Missing => "missing",
        }
    }
}

/// The board's edge.
#[derive(Clone, Debug, Default)]
pub struct Outline {
    /// How it was come by.
    pub state: OutlineState,
    /// Closed contours: board edges and cut-outs, in order of falling area. Nesting tells which is which:
    /// material lies where an odd number of contours encloses a point.
    pub contours: Vec<Contour>,
    /// Files it came from, index into [`Board::files`].
    pub files: Vec<u32>,
    /// The widest gap that was closed; 0 where all ends met.
    pub bridged: Nm,
    /// The widest pen it is drawn with; its middle is the edge.
    pub pen: Nm,
    /// Ends that do not meet: pairs of points with nothing between them.
    pub open_ends: Vec<(Point, Point)>,
    /// Smallest coordinate step of the file.
    pub step: Nm,
    /// Evidence, in plain sentences.
    pub evidence: Vec<String>,
}

/// Something about the set that does not fit together, found while placing or recognising.
#[derive(Clone, Debug)]
pub struct Doubt {
    /// The rule that asks about it (design names: `missing-drill`, `mirrored-layer`, …).
    pub rule: &'static str,
    /// What was seen, one sentence.
    pub seen: String,
    /// The chain of reasons.
    pub reasons: Vec<String>,
    /// Files concerned.
    pub sources: Vec<Source>,
    /// Where on the board, if anywhere.
    pub places: Vec<Point>,
    /// Possible readings, each a plain phrase, likeliest first; the query offers them as options.
    pub readings: Vec<String>,
}
