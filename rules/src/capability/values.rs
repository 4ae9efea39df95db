//! The keys of a capability profile.

use serde::Deserialize;

use super::machining::{Corners, HalfHoles, Joints, Material, Score, Tolerances};
use super::table::{ByColour, Ceiling, Length, Limit, OuterInner, OuterInnerByCopper};

/// Which ring is held against the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum RingJudged {
    /// At finished size, as the data draw it.
    Drawn,
    /// At tool size.
    Drilled,
    /// At tool size less the registration allowance.
    Made,
}

impl RingJudged {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Drawn => "as drawn",
            Self::Drilled => "as drilled",
            Self::Made => "as made",
        }
    }
}

/// How the mask is imaged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MaskProcess {
    /// Through a film.
    Film,
    /// Written directly.
    Direct,
}

impl MaskProcess {
    /// The word used in keys and reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Film => "film",
            Self::Direct => "direct",
        }
    }
}

/// Everything a profile file holds.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Values {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: u32,
    /// What it is for, one or two sentences.
    pub about: String,
    /// Which ring the ring limits speak of.
    pub ring_judged: RingJudged,
    /// How the mask is imaged unless the order says otherwise.
    pub mask_process: MaskProcess,
    /// Track width.
    pub track: OuterInnerByCopper,
    /// Gap between copper of different nets.
    pub gap: OuterInnerByCopper,
    /// Annular ring.
    pub ring: OuterInnerByCopper,
    /// What class 3 adds to every ring.
    pub ring_class_3: Length,
    /// How far a hole may lie off its land.
    pub registration: OuterInner<Length>,
    /// Tool size over finished size.
    pub allowance: Allowance,
    /// Drilling tools.
    pub tool: Tools,
    /// Board thickness over tool diameter.
    pub aspect_ratio: Ceiling,
    /// Finished width of drilled or routed slots.
    pub slot: PlatedUnplated,
    /// Wall to wall of two holes, at tool size.
    pub wall: Walls,
    /// Hole wall, at tool size, to copper it does not join.
    pub hole_to_copper: HoleToCopper,
    /// Copper to the routed edge.
    pub edge_copper: OuterInner<Limit>,
    /// Finished hole wall to the board's edge.
    pub edge_hole: PlatedUnplated,
    /// Mask left between two openings.
    pub web: Webs,
    /// Opening beyond the land, on each side.
    pub clearance: Clearances,
    /// Added to web and clearance on thick copper.
    pub thick_copper: ThickCopper,
    /// The board's edge.
    pub outline: OutlineLimits,
    /// Score lines.
    pub score: Score,
    /// Routed corners.
    pub corner: Corners,
    /// Board material left between cuts.
    pub material: Material,
    /// Half-holes.
    pub half_hole: HalfHoles,
    /// Finished sizes of holes.
    pub tolerance: Tolerances,
    /// Copper that hangs together by little.
    pub joint: Joints,
}

/// Tool size over finished size, by kind of hole.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Allowance {
    /// Vias.
    pub via: Length,
    /// Plated component holes, and plated holes whose use is not known.
    pub component: Length,
    /// Plated slots.
    pub slot: Length,
    /// Non-plated holes and slots.
    pub unplated: Length,
}

/// Drilling tools.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tools {
    /// Step between tool sizes.
    pub step: Length,
    /// A plated hole of no stated use counts as a via up to this finished size.
    pub via_threshold: Length,
    /// Smallest tool.
    pub smallest: Limit,
    /// Largest drill; larger holes are routed.
    pub largest: Length,
}

/// One limit for plated and one for non-plated holes.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlatedUnplated {
    /// Plated.
    pub plated: Limit,
    /// Non-plated.
    pub unplated: Limit,
}

/// Wall to wall, by case.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Walls {
    /// Two vias of one net.
    pub via_same_net: Limit,
    /// Two vias of different nets.
    pub via: Limit,
    /// Any other two plated holes.
    pub plated: Limit,
    /// Where at least one hole is non-plated.
    pub unplated: Limit,
}

/// Hole wall to copper, by case.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoleToCopper {
    /// Plated hole, outer layer.
    pub plated_outer: Limit,
    /// Plated hole, inner layer.
    pub plated_inner: Limit,
    /// Non-plated hole, any layer.
    pub unplated: Limit,
}

/// Webs by process.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Webs {
    /// Imaged through a film.
    pub film: ByColour,
    /// Written directly.
    pub direct: ByColour,
}

/// Clearances by process.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clearances {
    /// Imaged through a film.
    pub film: Limit,
    /// Written directly.
    pub direct: Limit,
}

/// What thick copper adds to mask limits.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ThickCopper {
    /// Base copper from which it counts.
    pub from: Length,
    /// How much is added.
    pub mask: Length,
}

/// The board's edge.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutlineLimits {
    /// Gaps in the outline up to this are rounding and are closed without a word.
    pub rounding: Length,
    /// Gaps up to this are closed and noted; wider ones are asked about.
    pub close_gap: Length,
}
