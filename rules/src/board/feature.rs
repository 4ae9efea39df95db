//! Features: what stands on the board besides single holes, with the reasons for it.

use std::borrow::Cow;

use landgap_parser::{Nm, Point};

use super::{LayerRef, Source};
use crate::geometry::Bounds;

/// What a feature is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FeatureKind {
    /// A mark for optical alignment: a round land with a clear ring.
    Fiducial,
    /// Holes on the edge, cut through when the board is routed.
    HalfHoleRow,
    /// A row of small holes along which the board is broken off.
    Perforation,
    /// Overlapping hits that make one slot.
    SlotChain,
    /// Lands on both outer layers in line, like others that have holes, and no hole.
    LandStack,
    /// A non-plated hole in a land.
    UnplatedLand,
    /// A non-plated hole that cuts into copper.
    CutCopper,
    /// A hole or slot of the drill data that the outline gives as a cut-out as well.
    DoubledCutOut,
    /// The board's edge drawn into copper.
    OutlineInCopper,
    /// A row of long lands at the edge for a connector.
    EdgeFingers,
    /// Vias of one net in one large opened land.
    ThermalVias,
    /// A land for a test probe.
    TestPoint,
    /// Two nets joined on purpose by copper between two lands of one part.
    NetTie,
    /// A line along which the board is scored.
    ScoreLine,
    /// Letters or a sign in copper.
    CopperText,
    /// Copper that widens from a track to the land it joins.
    Teardrop,
    /// A land joined to the copper round it by bars across a clear gap.
    Relief,
    /// A track wound round itself.
    Coil,
    /// A track laid to and fro.
    Meander,
    /// Equal pieces of copper in a regular pattern, joined to nothing.
    Thieving,
    /// A stretch of the edge over which copper goes on more than one layer.
    EdgePlating,
    /// A land whose solderable area the mask bounds, not the copper.
    MaskDefinedLand,
    /// A rail or coupon beside the boards of an array, with what stands on it.
    Rail,
}

impl FeatureKind {
    /// Every kind, in order.
    pub const ALL: [Self; 23] = [
        Self::Fiducial,
        Self::HalfHoleRow,
        Self::Perforation,
        Self::SlotChain,
        Self::LandStack,
        Self::UnplatedLand,
        Self::CutCopper,
        Self::DoubledCutOut,
        Self::OutlineInCopper,
        Self::EdgeFingers,
        Self::ThermalVias,
        Self::TestPoint,
        Self::NetTie,
        Self::ScoreLine,
        Self::CopperText,
        Self::Teardrop,
        Self::Relief,
        Self::Coil,
        Self::Meander,
        Self::Thieving,
        Self::EdgePlating,
        Self::MaskDefinedLand,
        Self::Rail,
    ];

    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fiducial => "fiducial",
            Self::HalfHoleRow => "half-hole-row",
            Self::Perforation => "perforation",
            Self::SlotChain => "slot-chain",
            Self::LandStack => "land-stack",
            Self::UnplatedLand => "unplated-land",
            Self::CutCopper => "cut-copper",
            Self::DoubledCutOut => "doubled-cut-out",
            Self::OutlineInCopper => "outline-in-copper",
            Self::EdgeFingers => "edge-fingers",
            Self::ThermalVias => "thermal-vias",
            Self::TestPoint => "test-point",
            Self::NetTie => "net-tie",
            Self::ScoreLine => "score-line",
            Self::CopperText => "copper-text",
            Self::Teardrop => "teardrop",
            Self::Relief => "relief",
            Self::Coil => "coil",
            Self::Meander => "meander",
            Self::Thieving => "thieving",
            Self::EdgePlating => "edge-plating",
            Self::MaskDefinedLand => "mask-defined-land",
            Self::Rail => "rail",
        }
    }
}

/// A straight part of a feature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// One end of its middle line.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Its width as drawn; 0 where it has none.
    pub width: Nm,
}

/// One feature.
#[derive(Clone, Debug, PartialEq)]
pub struct Feature {
    /// What it is.
    pub kind: FeatureKind,
    /// The layer it lies on, where it is one.
    pub layer: Option<LayerRef>,
    /// Where: its middle.
    pub at: Point,
    /// The length that matters for its kind, as drawn; the recogniser's page says which.
    pub size: Option<Nm>,
    /// How far that length may lie from the truth.
    pub uncertainty: Nm,
    /// Whether it is plainly as meant: named by the data, standing alone, given twice alike; the recogniser says which.
    pub settled: bool,
    /// From here to there, where it has two ends.
    pub between: Option<(Point, Point)>,
    /// The box round it, where it covers an area.
    pub bounds: Option<Bounds>,
    /// Its parts, where it is made of several: bars of a relief, pieces of a score line or of an edge.
    pub parts: Vec<Part>,
    /// Holes that belong to it, index into `Board::holes`.
    pub holes: Vec<u32>,
    /// Where it stands in the data.
    pub sources: Vec<Source>,
    /// Why it is taken for that, in plain sentences.
    pub reasons: Vec<Cow<'static, str>>,
}

impl Feature {
    /// A feature at a point, with nothing more known of it.
    #[must_use]
    pub const fn new(kind: FeatureKind, layer: Option<LayerRef>, at: Point) -> Self {
        Self {
            kind,
            layer,
            at,
            size: None,
            uncertainty: 0,
            settled: false,
            between: None,
            bounds: None,
            parts: Vec::new(),
            holes: Vec::new(),
            sources: Vec::new(),
            reasons: Vec::new(),
        }
    }

    /// Whether a place lies in the box round it.
    #[must_use]
    pub fn covers(&self, p: Point) -> bool {
        self.bounds.is_some_and(|b| b.holds(p))
    }

    /// Adds a reason.
    #[must_use]
    pub fn because(mut self, reason: impl Into<Cow<'static, str>>) -> Self {
        self.reasons.push(reason.into());
        self
    }
}
