//! Recognises what each hole is and what else stands on the board, with a chain of reasons.
//!
//! One file recognises one thing. Attributes win over shapes. No shop's limit is known here.

mod coil;
mod collar;
mod contradiction;
mod copper_text;
mod edge_fingers;
mod edge_plating;
mod fiducial;
mod half_holes;
mod holes;
mod land_stack;
mod lands;
mod leaving;
mod loose;
mod mask_defined;
mod meander;
mod net_tie;
mod outline_copper;
#[cfg(test)]
mod pages;
mod perforation;
mod plating;
mod rail;
mod registry;
mod relief;
mod score_line;
mod slot_chain;
mod slot_twice;
mod strokes;
mod surroundings;
mod teardrop;
mod test_point;
mod thermal_vias;
mod thieving;
mod unplated;

use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};
use crate::geometry::Geometry;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::outline::Edge;
use crate::measure::touch::Touches;

pub(crate) use lands::{Lands, Places};
pub use registry::registry;

/// What recognisers may look at besides the board.
pub(crate) struct Ground<'a> {
    /// Final images.
    pub geometry: &'a Geometry,
    /// Boundaries of the copper layers.
    pub copper: &'a [EdgeIndex],
    /// Boundaries of the mask openings, by position in `geometry.masks`.
    pub masks: &'a [EdgeIndex],
    /// The board's edge, if known.
    pub edge: Option<&'a Edge>,
    /// Which copper each hole meets.
    pub touches: &'a Touches,
}

impl Ground<'_> {
    /// Openings of one side's mask, if the set has it.
    pub(crate) fn mask(&self, side: Side) -> Option<&EdgeIndex> {
        let position = self.geometry.masks.iter().position(|m| m.layer == LayerRef::Mask(side))?;
        self.masks.get(position)
    }
}

/// Settles plating and kind of every hole.
pub(crate) fn holes(board: &mut Board, ground: &Ground<'_>) {
    let lands = Lands::of(board);
    holes::settle(board, ground, &lands);
}

/// Recognises one thing.
pub struct Recogniser {
    /// Its name.
    pub name: &'static str,
    /// What it finds.
    pub kinds: &'static [FeatureKind],
    /// Its page, in Markdown: how it is recognised, what looks like it, and examples that are run.
    pub page: &'static str,
    of: fn(&Board, &Ground<'_>, &Lands) -> Vec<Feature>,
}

impl std::fmt::Debug for Recogniser {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Recogniser").field("name", &self.name).field("kinds", &self.kinds).finish_non_exhaustive()
    }
}

/// Recognises features; nets are known by now.
pub(crate) fn features(board: &mut Board, ground: &Ground<'_>) {
    let lands = Lands::of(board).settled(ground);
    let mut found: Vec<Feature> = registry().iter().flat_map(|r| (r.of)(board, ground, &lands)).collect();
    found.sort_by(|a, b| (a.kind, a.layer, a.at, &a.holes).cmp(&(b.kind, b.layer, b.at, &b.holes)));
    board.features = found;
    let contradicting = contradiction::doubts(board, ground, &lands);
    board.doubts.extend(contradicting);
}
