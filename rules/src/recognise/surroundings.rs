//! What surrounds a hole: lands, mask, and the corners of the board.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Nm, Point};

use super::lands::{Places, SAME_PLACE, land_function};
use super::{Ground, Lands};
use crate::board::{Board, Hole, HolePlating, LandFunction, Layers, Reason, Side, Sides};
use crate::geometry::Bounds;
use crate::geometry::outline::Edge;
use crate::netlist::{self, HoleUse};

/// What other files say of the places of holes.
pub(super) struct Witnesses {
    /// Middles of what the paste files print; `None` where there are none.
    paste: Option<Places>,
    /// Holes of the netlists, by index into the uses.
    places: Places,
    uses: Vec<HoleUse>,
}

impl Witnesses {
    pub fn of(board: &Board, ground: &Ground<'_>) -> Self {
        let files = board.pastes.iter().map(|p| p.file);
        let paste = (!board.pastes.is_empty()).then(|| Places::of_images(board, files));
        let Ground { geometry, copper, touches, masks, .. } = *ground;
        let (places, uses): (Vec<Point>, Vec<HoleUse>) =
            netlist::holes(&netlist::Ground { board, geometry, copper, touches, masks }).into_iter().unzip();
        Self { paste, places: Places::new(places.into_iter().zip(0..).collect()), uses }
    }

    /// What a netlist says of the hole at a place; nothing where two say different things.
    pub fn stated(&self, at: Point) -> Option<HoleUse> {
        let mut said = self.places.within(at, netlist::SAME_HOLE).map(|i| self.uses[i as usize]);
        let first = said.next()?;
        said.all(|other| other == first).then_some(first)
    }

    fn pasted(&self, hole: &Hole) -> bool {
        let reach = (hole.finished.unwrap_or(0) / 2).max(SAME_PLACE);
        self.paste.as_ref().is_some_and(|p| p.has(hole.at(), reach))
    }
}

/// The evidence round one hole.
pub(super) struct Surroundings {
    /// What the land set down at its axis is called.
    pub function: Option<LandFunction>,
    /// Smaller extent of the largest land there.
    land: Option<Nm>,
    /// Copper layers on which copper lies all round it.
    landed: Layers,
    /// Sides on which the mask is open over its axis; `None` where no mask is known.
    pub opened: Option<Sides>,
    /// Whether paste is printed over it.
    pub pasted: bool,
    /// What a netlist says of it.
    pub stated: Option<HoleUse>,
}

impl Surroundings {
    pub fn of(
        number: u32,
        hole: &Hole,
        board: &Board,
        ground: &Ground<'_>,
        lands: &Lands,
        witnesses: &Witnesses,
    ) -> Self {
        let at = hole.at();
        let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
        let touches = ground.touches.of(number);
        Self {
            function: lands.at(at).find_map(|l| land_function(lands.functions(board, l))),
            land: lands.at(at).map(super::lands::Land::least).max(),
            landed: touches.iter().filter(|t| t.reach > radius).map(|t| t.layer + 1).collect(),
            opened: opened(at, ground),
            pasted: witnesses.pasted(hole),
            stated: witnesses.stated(at),
        }
    }

    /// Adds what is known to the chain of reasons.
    pub fn tell(&self, hole: &Hole, reasons: &mut Vec<Reason>) {
        let joined = hole.reasons.iter().any(|r| matches!(r, Reason::Joins(_) | Reason::NoCopper));
        if !joined {
            reasons.push(if self.landed.is_empty() { Reason::Landless } else { Reason::LandsOn(self.landed) });
        }
        if let (Some(finished), Some(land)) = (hole.finished, self.land) {
            reasons.push(Reason::InLand { finished, land });
        }
        reasons.extend(self.opened.map(Reason::Opened));
        reasons.extend(self.pasted.then_some(Reason::Pasted));
    }
}

fn opened(at: Point, ground: &Ground<'_>) -> Option<Sides> {
    let open = |side| ground.mask(side).map(|mask| mask.island_at(at).is_some());
    Some(match (open(Side::Top), open(Side::Bottom)) {
        (None, None) => return None,
        (Some(true), Some(true)) => Sides::Both,
        (Some(true), _) => Sides::Top,
        (_, Some(true)) => Sides::Bottom,
        _ => Sides::Neither,
    })
}

/// Right or left, upper or lower.
type Corner = (bool, bool);

/// Sizes of holes that take a screw: 2 to 6.5 mm.
const SCREW: std::ops::RangeInclusive<Nm> = 2_000_000..=6_500_000;
/// So near both sides of the board's box lies a hole near a corner.
const CORNER: Nm = 10_000_000;
/// More holes alike than this are no mounting holes.
const FEW: usize = 8;

/// Which sizes of hole stand near the corners of the board.
pub(super) struct Corners {
    bounds: Bounds,
    mounting: BTreeSet<(HolePlating, Nm)>,
}

impl Corners {
    pub fn of(board: &Board, edge: Option<&Edge>) -> Self {
        let mut bounds = Bounds::EMPTY;
        for piece in edge.into_iter().flat_map(|e| e.index.edges()) {
            bounds.add(piece.segment.a);
        }
        let mut alike: BTreeMap<(HolePlating, Nm), Vec<Option<Corner>>> = BTreeMap::new();
        for hole in board.holes.iter().filter(|h| h.is_round()) {
            let Some(size) = hole.finished.filter(|d| SCREW.contains(d)) else { continue };
            alike.entry((hole.plating, size)).or_default().push(corner(&bounds, hole.at()));
        }
        let mounting =
            alike.into_iter().filter(|((plating, _), at)| mounts(*plating, at)).map(|(key, _)| key).collect();
        Self { bounds, mounting }
    }

    /// Whether a hole is taken for a mounting hole.
    pub fn mounts(&self, hole: &Hole) -> bool {
        let alike = hole.finished.is_some_and(|d| self.mounting.contains(&(hole.plating, d)));
        alike && hole.is_round() && corner(&self.bounds, hole.at()).is_some()
    }
}

/// Non-plated ones near a corner are enough; plated ones might take a lead, so all must stand in several corners.
fn mounts(plating: HolePlating, at: &[Option<Corner>]) -> bool {
    let corners: BTreeSet<Corner> = at.iter().copied().flatten().collect();
    at.len() <= FEW
        && if plating == HolePlating::Unplated {
            !corners.is_empty()
        } else {
            corners.len() >= 3 && at.iter().all(Option::is_some)
        }
}

/// The corner a point stands near.
fn corner(bounds: &Bounds, p: Point) -> Option<Corner> {
    if bounds.is_empty() {
        return None;
    }
    let near = |v: Nm, low: Nm, high: Nm| {
        let reach = CORNER.min((high - low) / 4);
        let at_high = v - low > high - v;
        (if at_high { high - v } else { v - low } <= reach).then_some(at_high)
    };
    Some((near(p.x, bounds.min.x, bounds.max.x)?, near(p.y, bounds.min.y, bounds.max.y)?))
}
