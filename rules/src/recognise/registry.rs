//! The one list of recognisers, by name.

use super::land_stack;
use super::{Recogniser, coil, contradiction, copper_text, edge_fingers, edge_plating, fiducial, half_holes, holes};
use super::{mask_defined, meander, net_tie, outline_copper, perforation, rail, relief, score_line, slot_chain};
use super::{slot_twice, teardrop, test_point, thermal_vias, thieving, unplated};
use crate::board::FeatureKind as Kind;

macro_rules! recognisers {
    ($($name:literal $page:literal $of:path: $($kind:ident)*;)+) => {
        /// Every recogniser.
        static RECOGNISERS: &[Recogniser] =
            &[$(Recogniser { name: $name, kinds: &[$(Kind::$kind),*], page: include_str!($page), of: $of }),+];
    };
}

recognisers! {
    "coil" "coil.md" coil::of: Coil;
    "contradictions" "contradiction.md" contradiction::of: ;
    "copper-text" "copper_text.md" copper_text::of: CopperText;
    "edge-fingers" "edge_fingers.md" edge_fingers::of: EdgeFingers;
    "edge-plating" "edge_plating.md" edge_plating::of: EdgePlating;
    "fiducial" "fiducial.md" fiducial::of: Fiducial;
    "half-holes" "half_holes.md" half_holes::of: HalfHoleRow;
    "hole-kinds" "holes.md" holes::of: ;
    "land-stack" "land_stack.md" land_stack::of: LandStack;
    "mask-defined-land" "mask_defined.md" mask_defined::of: MaskDefinedLand;
    "meander" "meander.md" meander::of: Meander;
    "net-tie" "net_tie.md" net_tie::of: NetTie;
    "outline-in-copper" "outline_copper.md" outline_copper::of: OutlineInCopper;
    "perforation" "perforation.md" perforation::of: Perforation;
    "rail" "rail.md" rail::of: Rail;
    "relief" "relief.md" relief::of: Relief;
    "score-line" "score_line.md" score_line::of: ScoreLine;
    "slot-chain" "slot_chain.md" slot_chain::of: SlotChain;
    "slot-twice" "slot_twice.md" slot_twice::of: DoubledCutOut;
    "teardrop" "teardrop.md" teardrop::of: Teardrop;
    "test-point" "test_point.md" test_point::of: TestPoint;
    "thermal-vias" "thermal_vias.md" thermal_vias::of: ThermalVias;
    "thieving" "thieving.md" thieving::of: Thieving;
    "unplated-in-copper" "unplated.md" unplated::of: UnplatedLand CutCopper;
}

/// Every recogniser.
#[must_use]
pub fn registry() -> &'static [Recogniser] {
    RECOGNISERS
}
