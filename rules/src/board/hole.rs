//! Holes: what they are, and the chain of reasons for it.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};

use super::Source;
use super::reason::Reason;

/// Whether a hole's wall carries copper, as far as known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HolePlating {
    /// Plated.
    Plated,
    /// Non-plated.
    Unplated,
    /// Not stated, and the copper does not settle it.
    Unclear,
}

impl HolePlating {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Plated => "plated",
            Self::Unplated => "unplated",
            Self::Unclear => "unclear",
        }
    }
}

/// What a hole is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HoleKind {
    /// Joins layers only.
    Via,
    /// Takes a component's lead.
    Component,
    /// Takes a lead that is pressed in, not soldered.
    PressFit,
    /// Takes a screw or a pin that places the board.
    Mounting,
    /// Places the board while it is made or fitted; named so by the data.
    Tooling,
    /// One of a row along which the board is broken off.
    Perforation,
    /// Mechanical, of no use that could be told.
    Mechanical,
    /// On the board's edge, cut through when the board is routed.
    HalfHole,
    /// A slot or routed path, or a link of a chain of hits that makes one.
    Slot,
    /// Not decided.
    Unclear,
}

impl HoleKind {
    /// Every kind, in order.
    pub const ALL: [Self; 10] = [
        Self::Via,
        Self::Component,
        Self::PressFit,
        Self::Mounting,
        Self::Tooling,
        Self::Perforation,
        Self::Mechanical,
        Self::HalfHole,
        Self::Slot,
        Self::Unclear,
    ];

    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Via => "via",
            Self::Component => "component",
            Self::PressFit => "press-fit",
            Self::Mounting => "mounting",
            Self::Tooling => "tooling",
            Self::Perforation => "perforation",
            Self::Mechanical => "mechanical",
            Self::HalfHole => "half-hole",
            Self::Slot => "slot",
            Self::Unclear => "unclear",
        }
    }
}

/// A hole, slot or routed path.
#[derive(Clone, Debug)]
pub struct Hole {
    /// The path of its axis.
    pub shape: HitShape,
    /// Finished diameter (or width); `None` where the data give no size.
    pub finished: Option<Nm>,
    /// Plated or not.
    pub plating: HolePlating,
    /// What it is for.
    pub kind: HoleKind,
    /// First and last copper layer it passes.
    pub span: (u32, u32),
    /// Where it stands in the data.
    pub source: Source,
    /// Smallest coordinate step of its file.
    pub step: Nm,
    /// `.AperFunction` of its tool, where stated.
    pub function: Option<String>,
    /// How much larger and how much smaller it may come out, where the data say.
    pub tolerance: Option<(Nm, Nm)>,
    /// Why it is taken for what it is; put into words only where they are read.
    pub reasons: Vec<Reason>,
}

impl Hole {
    /// A point on the axis: the hole's own, or the first of a slot or path.
    #[must_use]
    pub fn at(&self) -> Point {
        match &self.shape {
            HitShape::Hole { at } => *at,
            HitShape::Slot { from, .. } => *from,
            HitShape::Route { start, .. } => *start,
        }
    }

    /// Whether the tool only goes straight down.
    #[must_use]
    pub const fn is_round(&self) -> bool {
        matches!(self.shape, HitShape::Hole { .. })
    }

    /// The chain of reasons in plain sentences.
    #[must_use]
    pub fn why(&self) -> Vec<String> {
        self.reasons.iter().map(ToString::to_string).collect()
    }
}
