//! Facts: what was measured, with uncertainty and witness points. No shop's limits appear here.

use landgap_parser::{Nm, Point};

use crate::board::{FeatureKind, LayerRef, Side, Source};

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
    /// Edge of an opening to covered copper of a net that is not opened there; negative by how far such copper lies bare.
    OpeningToCopper,
    /// Edge of the opening of a soldered land to the wall of a via beside it, at finished size; negative where it cuts the hole.
    OpeningToVia,
    /// Wall of a non-plated hole to the mask round it, at finished size; minus its radius where mask covers it.
    HoleToMask,
    /// Mask left between two sides of one opening, or standing alone in it.
    MaskSliver,
    /// Ink to the edge of an opening; negative by how far it lies in it.
    LegendToOpening,
    /// Pen that draws legend; one for each pen, and `length` is what it draws in all.
    LegendStroke,
    /// Height of a row of characters.
    LegendHeight,
    /// Strip free of copper between two sides of one net, over a stretch three times as long as it is wide.
    Slot,
    /// Width of a tongue of copper [`SLIVER_DEPTH`] behind its tip.
    Sliver,
    /// Copper left between two clearances in one piece of copper.
    PlaneWeb,
    /// Ring free of other copper round a fiducial.
    FiducialRing,
    /// Width of a bar that joins a land to the copper round it.
    Spoke,
}

/// How far behind its tip a sliver is measured.
pub const SLIVER_DEPTH: Nm = 250_000;

/// Slots, slivers and webs of planes are kept up to this.
pub const FINE_HORIZON: Nm = 150_000;

impl FactKind {
    /// Every kind, in order.
    pub const ALL: [Self; 28] = [
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
        Self::OpeningToCopper,
        Self::OpeningToVia,
        Self::HoleToMask,
        Self::MaskSliver,
        Self::LegendToOpening,
        Self::LegendStroke,
        Self::LegendHeight,
        Self::Slot,
        Self::Sliver,
        Self::PlaneWeb,
        Self::FiducialRing,
        Self::Spoke,
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
            Self::Slot | Self::Sliver | Self::PlaneWeb => Some(FINE_HORIZON),
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
            Self::OpeningToCopper => "opening-to-copper",
            Self::OpeningToVia => "opening-to-via",
            Self::HoleToMask => "hole-to-mask",
            Self::MaskSliver => "mask-sliver",
            Self::LegendToOpening => "legend-to-opening",
            Self::LegendStroke => "legend-stroke",
            Self::LegendHeight => "legend-height",
            Self::Slot => "same-net-slot",
            Self::Sliver => "sliver",
            Self::PlaneWeb => "plane-web",
            Self::FiducialRing => "fiducial-ring",
            Self::Spoke => "spoke",
        }
    }
}

/// How the mask of one side lies on a via.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cover {
    /// No opening touches the hole.
    Covered,
    /// The hole lies in an opening of its own.
    Opened,
    /// The hole lies in the opening of another land.
    InLand,
    /// The edge of an opening cuts the hole.
    Partly,
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
    /// inner corner: how wide the cut-out is in which it lies; none where it lies in the outer edge. For an opening
    /// to copper: how far that copper lies from the copper opened on purpose, up to the horizon.
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
    /// How it covers the board; `None` where there is no closed outline.
    pub coverage: Option<Coverage>,
}

/// How one copper layer covers the board. Shares are in millionths of the board's area.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Coverage {
    /// Of the whole board.
    pub share: u32,
    /// The barest window.
    pub least: Option<Window>,
    /// The fullest window.
    pub most: Option<Window>,
    /// Mean of all windows.
    pub mean: u32,
    /// How many windows there are.
    pub windows: u32,
}

/// Part of the board, 25 mm square or as large as the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// Copper in it, in millionths of the board's area in it.
    pub share: u32,
    /// Its middle.
    pub at: Point,
}

/// A piece of copper that meets no hole and holds no land.
#[derive(Clone, Debug, PartialEq)]
pub struct Floating {
    /// The layer.
    pub layer: LayerRef,
    /// A point on it.
    pub at: Point,
    /// Its extent in x and y.
    pub size: (Nm, Nm),
    /// Its area in square millimetres.
    pub area_mm2: f64,
    /// Its net, index into [`Facts::net_names`].
    pub net: u32,
    /// What it was recognised as, where that explains it.
    pub taken_for: Option<FeatureKind>,
    /// The line that drew it, where known.
    pub source: Option<Source>,
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
    /// Copper that meets no hole and holds no land, ordered by layer and place.
    pub floating: Vec<Floating>,
    /// Copper layers on which floating copper could not be told from lands, with the reason.
    pub floating_not_looked: Vec<(LayerRef, String)>,
    /// For every hole of the board, the copper layers on which it touches copper, from the top.
    pub landed: Vec<Vec<u32>>,
    /// For every hole of the board that is a via, how mask lies on it on the top and on the bottom; `None` where the
    /// side has no mask, the via does not reach it, or the hole is no via.
    pub covers: Vec<[Option<Cover>; 2]>,
}

impl Facts {
    /// Facts of one kind, least first within each layer.
    pub fn of(&self, kind: FactKind) -> impl Iterator<Item = &Fact> {
        self.facts.iter().filter(move |f| f.kind == kind)
    }
}
