//! Limits of routing, scoring and finished holes: their keys and how they are looked up.

use landgap_parser::Nm;
use serde::Deserialize;

use super::Capability;
use super::entry::trimmed_um;
use super::limits::{Applied, plain, text};
use super::order::Settled;
use super::table::{Length, Levels, Limit};
use crate::board::{Hole, HoleKind, HolePlating};

/// The thickness that `score.copper` speaks of.
const SCORED: Nm = 1_600_000;
/// Tangent of half the angle of a scoring wheel, 30 degrees, in millionths.
const HALF_ANGLE: Nm = 267_949;

/// Score lines.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Score {
    /// Copper to the middle of a score line, on a board of 1.6 mm.
    pub copper: Limit,
}

/// Routed corners.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Corners {
    /// Radius of an inner corner.
    pub radius: Limit,
}

/// Board material left between cuts.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Between any two cuts.
    pub bridge: Limit,
    /// What holds a board in its frame, without holes in it.
    pub tab_solid: Limit,
    /// The same with a row of break-off holes.
    pub tab_perforated: Limit,
}

/// Half-holes on the board's edge.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HalfHoles {
    /// Finished diameter.
    pub size: Limit,
    /// Wall to wall, finished.
    pub wall: Limit,
}

/// How far a finished hole may lie from its nominal size, either way.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tolerances {
    /// Plated holes.
    pub plated: Limit,
    /// Non-plated holes.
    pub unplated: Limit,
    /// Holes for leads that are pressed in.
    pub press_fit: Limit,
}

/// Copper that hangs together by little.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Joints {
    /// The only copper between two lands is told of below this; such necks are kept up to 50 µm.
    pub neck: Length,
}

impl Capability {
    /// Copper to a score line: wider on thicker boards, by what the wheel cuts wider there.
    #[must_use]
    pub fn score_copper(&self, order: &Settled) -> Applied {
        let mut applied = plain("score.copper", &self.values.score.copper);
        let more = (order.thickness - SCORED) / 2 * HALF_ANGLE / 1_000_000;
        if more != 0 {
            let moved = |v: Nm| (v + more).max(0);
            let Levels { preferred, minimum, special } = applied.levels;
            applied.levels = Levels { preferred: moved(preferred), minimum: moved(minimum), special: moved(special) };
            applied.key = format!("score.copper at {} µm thickness", trimmed_um(order.thickness));
        }
        applied
    }

    /// Radius of an inner corner.
    #[must_use]
    pub fn corner_radius(&self) -> Applied {
        plain("corner.radius", &self.values.corner.radius)
    }

    /// Material between two cuts. A thin board needs no more than its thickness.
    #[must_use]
    pub fn bridge(&self, order: &Settled) -> Applied {
        let mut applied = plain("material.bridge", &self.values.material.bridge);
        if order.thickness < applied.levels.minimum {
            let least = order.thickness;
            let Levels { preferred, special, .. } = applied.levels;
            applied.levels = Levels { preferred, minimum: least, special: special.min(least) };
            applied.key = format!("material.bridge at {} µm thickness", trimmed_um(least));
        }
        applied
    }

    /// What holds a board in its frame.
    #[must_use]
    pub fn tab(&self, perforated: bool) -> Applied {
        let limits = &self.values.material;
        if perforated {
            plain("material.tab_perforated", &limits.tab_perforated)
        } else {
            plain("material.tab_solid", &limits.tab_solid)
        }
    }

    /// Finished diameter of a half-hole.
    #[must_use]
    pub fn half_hole_size(&self) -> Applied {
        plain("half_hole.size", &self.values.half_hole.size)
    }

    /// Wall between two half-holes, finished.
    #[must_use]
    pub fn half_hole_wall(&self) -> Applied {
        plain("half_hole.wall", &self.values.half_hole.wall)
    }

    /// How far a finished hole may lie from its nominal size, either way.
    #[must_use]
    pub fn tolerance(&self, hole: &Hole) -> Applied {
        let limits = &self.values.tolerance;
        match (hole.plating, hole.kind) {
            (HolePlating::Unplated, _) => plain("tolerance.unplated", &limits.unplated),
            (_, HoleKind::PressFit) => plain("tolerance.press_fit", &limits.press_fit),
            _ => plain("tolerance.plated", &limits.plated),
        }
    }

    /// Necks of copper below this are told of.
    #[must_use]
    pub fn neck(&self) -> (Nm, String) {
        let neck = &self.values.joint.neck;
        (neck.value, text(neck.source.as_ref()))
    }
}
