//! Looks up the limits of mask and legend, by process, colour and copper.

use landgap_parser::Nm;

use super::Capability;
use super::limits::{Applied, plain, text};
use super::order::{ColourGroup, Settled};
use super::values::{Clearances, MaskProcess};

impl Capability {
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
        self.by_process("clearance", &self.values.clearance, order)
    }

    /// Mask over copper beside an opening.
    #[must_use]
    pub fn cover(&self, order: &Settled) -> Applied {
        self.by_process("cover", &self.values.cover, order)
    }

    fn by_process(&self, name: &str, limits: &Clearances, order: &Settled) -> Applied {
        let limit = match order.mask_process {
            MaskProcess::Film => &limits.film,
            MaskProcess::Direct => &limits.direct,
        };
        let mut applied = plain(&format!("{name}.{}", order.mask_process.word()), limit);
        applied.levels = applied.levels.raised(self.thick_copper_extra(order));
        applied
    }

    /// Opening of a soldered land to a via beside it.
    #[must_use]
    pub fn opening_to_via(&self) -> Applied {
        plain("opening_to_via", &self.values.opening_to_via)
    }

    /// Opening beyond a non-plated hole.
    #[must_use]
    pub fn hole_to_mask(&self) -> Applied {
        plain("hole_to_mask", &self.values.hole_to_mask)
    }

    /// Stroke of letters and signs in the mask.
    #[must_use]
    pub fn mask_stroke(&self) -> Applied {
        plain("mask_stroke", &self.values.mask_stroke)
    }

    /// Pen that draws legend.
    #[must_use]
    pub fn legend_stroke(&self) -> Applied {
        plain("legend.stroke", &self.values.legend.stroke)
    }

    /// Height of characters of the legend.
    #[must_use]
    pub fn legend_height(&self) -> Applied {
        plain("legend.height", &self.values.legend.height)
    }

    /// Ink to the edge of an opening.
    #[must_use]
    pub fn legend_opening(&self) -> Applied {
        plain("legend.opening", &self.values.legend.opening)
    }
}
