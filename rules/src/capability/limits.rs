//! Looks limits up for one board: which key applies, what it asks, and where the number comes from.

use landgap_parser::Nm;

use super::Capability;
use super::entry::trimmed_um;
use super::order::{ColourGroup, Settled};
use super::table::{ByCopper, Levels, Limit, OuterInner, OuterInnerByCopper};
use super::values::{MaskProcess, Walls};
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

    fn thick_copper_extra(&self, order: &Settled) -> Nm {
        let thick = &self.values.thick_copper;
        if order.copper >= thick.from.value { thick.mask.value } else { 0 }
    }

    /// Mask left between openings.
    #[must_use]
    pub fn web(&self, order: &Settled) -> Applied {
        let (process, table) = match order.mask_process {
            MaskProcess::Film => ("film", &self.values.web.film),
            MaskProcess::Direct => ("direct", &self.values.web.direct),
        };
        let levels = match order.colour {
            ColourGroup::Green => table.green,
            ColourGroup::Other => table.other,
            ColourGroup::BlackWhite => table.black_white,
        };
        let extra = self.thick_copper_extra(order);
        let more = if extra > 0 { " plus thick_copper.mask" } else { "" };
        let key = format!("web.{process}.{}{more}", order.colour.word());
        Applied { levels: levels.raised(extra), key, source: text(table.source.as_ref()) }
    }

    /// Opening beyond the land.
    #[must_use]
    pub fn clearance(&self, order: &Settled) -> Applied {
        let limit = match order.mask_process {
            MaskProcess::Film => &self.values.clearance.film,
            MaskProcess::Direct => &self.values.clearance.direct,
        };
        let mut applied = plain(&format!("clearance.{}", order.mask_process.word()), limit);
        applied.levels = applied.levels.raised(self.thick_copper_extra(order));
        applied
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
