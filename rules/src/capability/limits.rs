//! Looks limits up for one board: which key applies, what it asks, and where the number comes from.

use landgap_parser::Nm;

use super::Capability;
use super::entry::trimmed_um;
use super::order::Settled;
use super::table::{ByCopper, Levels, Limit, OuterInner, OuterInnerByCopper};
use super::values::Walls;
use crate::board::{Hole, HoleKind, HolePlating};

/// A limit as it applies to one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Applied {
    /// Its three levels.
    pub levels: Levels,
    /// The profile's key, with what it was looked up for.
    pub key: String,
    /// Where the number comes from.
    pub source: String,
}

/// Which wall-to-wall limit applies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WallCase {
    /// Two vias of one net.
    ViaSameNet,
    /// Two vias of different nets.
    Via,
    /// Any other two plated holes.
    Plated,
    /// At least one hole is non-plated.
    Unplated,
}

impl WallCase {
    /// Every case.
    pub const ALL: [Self; 4] = [Self::ViaSameNet, Self::Via, Self::Plated, Self::Unplated];

    /// Its key.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::ViaSameNet => "wall.via_same_net",
            Self::Via => "wall.via",
            Self::Plated => "wall.plated",
            Self::Unplated => "wall.unplated",
        }
    }

    pub(super) const fn limit(self, walls: &Walls) -> &Limit {
        match self {
            Self::ViaSameNet => &walls.via_same_net,
            Self::Via => &walls.via,
            Self::Plated => &walls.plated,
            Self::Unplated => &walls.unplated,
        }
    }
}

pub(super) fn text(source: Option<&String>) -> String {
    source.cloned().unwrap_or_else(|| "the profile names no source".to_owned())
}

pub(super) fn plain(key: &str, limit: &Limit) -> Applied {
    Applied { levels: limit.levels(), key: key.to_owned(), source: text(limit.source.as_ref()) }
}

const fn side(inner: bool) -> &'static str {
    if inner { "inner" } else { "outer" }
}

impl Capability {
    fn by_copper(&self, name: &str, tables: &OuterInnerByCopper, inner: bool, order: &Settled) -> Applied {
        let (table, copper): (&ByCopper, Nm) =
            if inner { (&tables.inner, order.inner_copper) } else { (&tables.outer, order.copper) };
        let key = format!("{name}.{} at {} µm base copper", side(inner), trimmed_um(copper));
        match table.row(copper) {
            Some(row) => {
                Applied { levels: row.levels(), key, source: text(row.source.as_ref().or(table.source.as_ref())) }
            }
            None => Applied { levels: Levels { preferred: 0, minimum: 0, special: 0 }, key, source: text(None) },
        }
    }

    /// Track width.
    #[must_use]
    pub fn track(&self, inner: bool, order: &Settled) -> Applied {
        self.by_copper("track", &self.values.track, inner, order)
    }

    /// Gap between nets.
    #[must_use]
    pub fn gap(&self, inner: bool, order: &Settled) -> Applied {
        self.by_copper("gap", &self.values.gap, inner, order)
    }

    /// Annular ring, with what class 3 adds.
    #[must_use]
    pub fn ring(&self, inner: bool, order: &Settled) -> Applied {
        let mut applied = self.by_copper("ring", &self.values.ring, inner, order);
        if order.class >= 3 {
            let extra = &self.values.ring_class_3;
            applied.levels = applied.levels.raised(extra.value);
            applied.key = format!("{} plus ring_class_3", applied.key);
            applied.source = format!("{}; class 3: {}", applied.source, text(extra.source.as_ref()));
        }
        applied
    }

    /// Copper to the routed edge.
    #[must_use]
    pub fn edge_copper(&self, inner: bool) -> Applied {
        let OuterInner { outer, inner: deep } = &self.values.edge_copper;
        plain(&format!("edge_copper.{}", side(inner)), if inner { deep } else { outer })
    }

    /// Hole wall to the board's edge.
    #[must_use]
    pub fn edge_hole(&self, plated: bool) -> Applied {
        let limits = &self.values.edge_hole;
        if plated { plain("edge_hole.plated", &limits.plated) } else { plain("edge_hole.unplated", &limits.unplated) }
    }

    /// Finished width of a slot.
    #[must_use]
    pub fn slot(&self, plated: bool) -> Applied {
        let limits = &self.values.slot;
        if plated { plain("slot.plated", &limits.plated) } else { plain("slot.unplated", &limits.unplated) }
    }

    /// Hole wall to copper it does not join.
    #[must_use]
    pub fn hole_to_copper(&self, plated: bool, inner: bool) -> Applied {
        let limits = &self.values.hole_to_copper;
        match (plated, inner) {
            (false, _) => plain("hole_to_copper.unplated", &limits.unplated),
            (true, true) => plain("hole_to_copper.plated_inner", &limits.plated_inner),
            (true, false) => plain("hole_to_copper.plated_outer", &limits.plated_outer),
        }
    }

    /// Wall to wall.
    #[must_use]
    pub fn wall(&self, case: WallCase) -> Applied {
        plain(case.key(), case.limit(&self.values.wall))
    }

    /// Smallest tool.
    #[must_use]
    pub fn smallest_tool(&self) -> Applied {
        plain("tool.smallest", &self.values.tool.smallest)
    }

    /// Largest drill, and where the number comes from.
    #[must_use]
    pub fn largest_tool(&self) -> (Nm, String) {
        let largest = &self.values.tool.largest;
        (largest.value, text(largest.source.as_ref()))
    }

    /// Smallest tool for a thickness, from the aspect ratio.
    #[must_use]
    pub fn aspect_tool(&self, thickness: Nm) -> Applied {
        let ratio = &self.values.aspect_ratio;
        let least = |thousandths: i64| if thousandths > 0 { (thickness * 1000).div_euclid(thousandths) } else { 0 };
        let levels =
            Levels { preferred: least(ratio.preferred), minimum: least(ratio.maximum), special: least(ratio.special) };
        let key = format!("aspect_ratio at {} µm thickness", trimmed_um(thickness));
        Applied { levels, key, source: text(ratio.source.as_ref()) }
    }

    /// Strip free of copper within one net.
    #[must_use]
    pub fn same_net_slot(&self) -> Applied {
        plain("copper.same_net_slot", &self.values.copper.same_net_slot)
    }

    /// Tongue of copper.
    #[must_use]
    pub fn sliver(&self) -> Applied {
        plain("copper.sliver", &self.values.copper.sliver)
    }

    /// Copper between two clearances.
    #[must_use]
    pub fn plane_web(&self) -> Applied {
        plain("copper.plane_web", &self.values.copper.plane_web)
    }

    /// Spoke of a relief.
    #[must_use]
    pub fn spoke(&self) -> Applied {
        plain("copper.spoke", &self.values.copper.spoke)
    }

    /// Clear ring round a fiducial of this diameter: never more than its radius.
    #[must_use]
    pub fn fiducial_ring(&self, diameter: Nm) -> Applied {
        let mut applied = plain("copper.fiducial_ring", &self.values.copper.fiducial_ring);
        applied.levels = applied.levels.capped(diameter / 2);
        applied
    }

    /// Least share of copper in a window, in millionths, and where the number comes from.
    #[must_use]
    pub fn sparse(&self) -> (u32, String) {
        let sparse = &self.values.balance.sparse;
        ((sparse.value * 1000).clamp(0, 1_000_000) as u32, text(sparse.source.as_ref()))
    }

    /// Greatest difference between mirroring layers, in millionths: preferred, maximum; and its source.
    #[must_use]
    pub fn pair_difference(&self) -> (i64, i64, String) {
        let pair = &self.values.balance.pair;
        (pair.preferred * 1000, pair.maximum * 1000, text(pair.source.as_ref()))
    }

    /// How far a hole may lie off its land.
    #[must_use]
    pub const fn registration(&self, inner: bool) -> Nm {
        if inner { self.values.registration.inner.value } else { self.values.registration.outer.value }
    }

    /// Whether a plated hole counts as a via.
    #[must_use]
    pub fn is_via(&self, hole: &Hole) -> bool {
        match hole.kind {
            HoleKind::Via => true,
            HoleKind::Unclear => {
                hole.plating != HolePlating::Unplated
                    && hole.finished.is_some_and(|d| d <= self.values.tool.via_threshold.value)
            }
            _ => false,
        }
    }

    /// Tool size over finished size. A hole of unclear plating is taken as plated.
    #[must_use]
    pub fn allowance(&self, hole: &Hole) -> Nm {
        let allowance = &self.values.allowance;
        match (hole.plating, hole.kind) {
            (HolePlating::Unplated, _) => allowance.unplated.value,
            (_, HoleKind::Slot) => allowance.slot.value,
            _ if self.is_via(hole) => allowance.via.value,
            _ => allowance.component.value,
        }
    }

    /// The tool that makes a finished size: size plus allowance, to the nearest tool.
    #[must_use]
    pub fn tool(&self, hole: &Hole) -> Option<Nm> {
        let finished = hole.finished?;
        Some(super::arithmetic::nearest_tool(finished + self.allowance(hole), self.values.tool.step.value))
    }
}
