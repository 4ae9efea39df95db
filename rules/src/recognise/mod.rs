//! Recognises what each hole is and what else stands on the board, with a chain of reasons.
//!
//! One file recognises one thing. Attributes win over shapes. No shop's limit is known here.

mod edge_fingers;
mod fiducial;
mod half_holes;
mod holes;
mod land_stack;
mod lands;
mod net_tie;
mod outline_copper;
mod perforation;
mod plating;
mod slot_chain;
mod slot_twice;
mod surroundings;
mod test_point;
mod thermal_vias;
mod unplated;

use crate::board::{Board, Feature, LayerRef, Side};
use crate::geometry::Geometry;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::outline::Edge;
use crate::measure::touch::Touches;

pub(crate) use lands::Lands;

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

/// Finds every feature of one kind.
type Recogniser = fn(&Board, &Ground<'_>, &Lands) -> Vec<Feature>;

/// Recognises features; nets are known by now.
pub(crate) fn features(board: &mut Board, ground: &Ground<'_>) {
    let lands = Lands::of(board);
    let recognisers: [Recogniser; 13] = [
        edge_fingers::of,
        fiducial::of,
        half_holes::of,
        land_stack::of,
        net_tie::of,
        outline_copper::of,
        perforation::of,
        slot_chain::of,
        slot_twice::of,
        test_point::of,
        thermal_vias::of,
        unplated::in_lands,
        unplated::cutting,
    ];
    let mut found: Vec<Feature> = recognisers.iter().flat_map(|of| of(board, ground, &lands)).collect();
    found.sort_by(|a, b| (a.kind, a.layer, a.at, &a.holes).cmp(&(b.kind, b.layer, b.at, &b.holes)));
    board.features = found;
}
