//! Facts: what was measured, with uncertainty and witness points. No shop's limits appear here.

use landgap_parser::{Nm, Point};

use crate::board::{LayerRef, Side, Source};

/// What a fact is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FactKind {
    /// Copper to copper of different nets on one layer.
    Gap,
    /// Local width of copper over a stretch at least as long as it is wide.
    Width,
    /// Hole edge to the edge of its land, worst direction, at finished size; negative where it breaks out.
    RingDrawn,
    /// Hole edge to the nearest copper it does not touch, at finished size.
    HoleToCopper,
    /// Wall to wall of two holes, at finished size.
    HoleToHole,
    /// Copper to the board's edge; negative where copper lies over it.
    CopperToEdge,
    /// Hole wall to the board's edge.
    HoleToEdge,
    /// Solder mask left between two openings.
    Web,
    /// Edge of an opening beyond the edge of the land under it; negative where mask lies on the land.
    MaskClearance,
    /// Radius of an inner corner of the outline; 0 where it is sharp.
    InnerCorner,
    /// Board material left between two cuts.
    Bridge,
    /// Board material between the ends of two narrow cuts in line: what holds a board in its frame.
    Tab,
    /// Width of a cut-out of the outline, at its narrowest.
    CutOut,
    /// Copper to the middle of a score line; 0 where it crosses it.
    CopperToScore,
    /// How deep a plated hole reaches into copper that nothing else joins, at finished size.
    Joint,
    /// Width of the only copper between two parts of one piece, where it is a hair.
    Neck,
}

impl FactKind {
    /// Every kind, in order.
    pub const ALL: [Self; 16] = [
        Self::Gap,
        Self::Width,
        Self::RingDrawn,
        Self::HoleToCopper,
        Self::HoleToHole,
        Self::CopperToEdge,
        Self::HoleToEdge,
        Self::Web,
        Self::MaskClearance,
        Self::InnerCorner,
        Self::Bridge,
        Self::Tab,
        Self::CutOut,
        Self::CopperToScore,
        Self::Joint,
        Self::Neck,
    ];

    /// Up to where facts of this kind are kept, where that is not the general horizon.
    #[must_use]
    pub const fn own_horizon(self) -> Option<Nm> {
        match self {
            Self::CopperToEdge | Self::HoleToEdge | Self::CopperToScore => Some(1_000_000),
            Self::InnerCorner => Some(2_000_000),
            Self::Bridge | Self::Tab => Some(3_000_000),
            Self::CutOut => Some(1_500_000),
            Self::Neck => Some(50_000),
            _ => None,
        }
    }

    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gap => "gap",
            Self::Width => "width",
            Self::RingDrawn => "ring-drawn",
            Self::HoleToCopper => "hole-to-copper",
            Self::HoleToHole => "hole-to-hole",
            Self::CopperToEdge => "copper-to-edge",
            Self::HoleToEdge => "hole-to-edge",
            Self::Web => "web",
            Self::MaskClearance => "mask-clearance",
            Self::InnerCorner => "inner-corner",
            Self::Bridge => "bridge",
            Self::Tab => "tab",
            Self::CutOut => "cut-out",
            Self::CopperToScore => "copper-to-score",
            Self::Joint => "joint",
            Self::Neck => "neck",
        }
    }
}

/// One measured distance.
#[derive(Clone, Debug, PartialEq)]
pub struct Fact {
    /// What is measured.
    pub kind: FactKind,
    /// The layer it is measured on; `None` between holes or hole and edge.
    pub layer: Option<LayerRef>,
    /// The distance, rounded to the nanometre.
    pub value: Nm,
    /// How far the true value may lie from it either way.
    pub uncertainty: Nm,
    /// First witness point.
    pub from: Point,
    /// Second witness point.
    pub to: Point,
    /// Nets on either side, index into [`Facts::net_names`]; equal where both ends are of one net.
    pub nets: Vec<u32>,
    /// Holes concerned, index into `Board::holes`.
    pub holes: Vec<u32>,
    /// Lines of the data that drew the two sides, where known.
    pub sources: Vec<Source>,
    /// For a width: how long the copper stays that thin, at least. For a gap or web: how long it runs so. For an
    /// inner corner: how wide the cut-out is in which it lies; none where it lies in the outer edge.
    pub length: Option<Nm>,
    /// Where two straight sides run side by side at this distance: both ends of that stretch, half-way between them.
    pub run: Option<(Point, Point)>,
    /// For a web: whether the copper under both openings is of one net.
    pub same_net: bool,
}

/// Copper of one layer.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerFacts {
    /// Copper layer from the top.
    pub layer: u32,
    /// Outer or inner.
    pub side: Side,
    /// Copper area in square millimetres.
    pub copper_mm2: f64,
    /// Connected pieces of copper.
    pub islands: u32,
}

/// Everything measured on one board.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    /// Copper layers from the top.
    pub layers: Vec<LayerFacts>,
    /// Size of the board's bounding box; 0 where there is no outline.
    pub width: Nm,
    /// Height of the board's bounding box.
    pub height: Nm,
    /// Area of material inside the outline in square millimetres.
    pub board_mm2: f64,
    /// Name of every net found, where the data name it; else empty. The count is the number of nets.
    pub net_names: Vec<String>,
    /// Facts below the horizon, ordered by kind, layer, value, place.
    pub facts: Vec<Fact>,
    /// How many places of each kind were looked at (measured, whether or not below the horizon).
    pub looked_at: Vec<(FactKind, u64)>,
    /// Kinds that could not be measured, with the reason.
    pub not_measured: Vec<(FactKind, String)>,
    /// What the data say about nets against what the copper joins.
    pub electrical: crate::netlist::Electrical,
    /// The horizon below which facts are kept.
    pub horizon: Nm,
    /// For every hole of the board, the copper layers on which it touches copper, from the top.
    pub landed: Vec<Vec<u32>>,
}

impl Facts {
    /// Facts of one kind, least first within each layer.
    pub fn of(&self, kind: FactKind) -> impl Iterator<Item = &Fact> {
        self.facts.iter().filter(move |f| f.kind == kind)
    }
}
