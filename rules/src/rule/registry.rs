//! The one list of rules, in the order of the form: by group, then by name.

use super::Rule;

static RULES: [&Rule; 49] = [
    &super::array_or_single::RULE,
    &super::contradicting_attribute::RULE,
    &super::empty_copper::RULE,
    &super::mirrored_layer::RULE,
    &super::misplaced_layer::RULE,
    &super::missing_layer::RULE,
    &super::painted_copper::RULE,
    &super::rival_sets::RULE,
    &super::stray_outside::RULE,
    &super::two_readings::RULE,
    &super::unclear_layer_order::RULE,
    &super::unclear_polarity::RULE,
    &super::unclear_role::RULE,
    &super::unreadable_file::RULE,
    &super::unsized_aperture::RULE,
    &super::copper_near_edge::RULE,
    &super::half_hole::RULE,
    &super::hole_near_edge::RULE,
    &super::missing_outline::RULE,
    &super::narrow_cutout::RULE,
    &super::open_outline::RULE,
    &super::outline_in_copper::RULE,
    &super::rival_outlines::RULE,
    &super::slot_on_wrong_layer::RULE,
    &super::doubled_hole::RULE,
    &super::high_aspect_ratio::RULE,
    &super::holes_too_close::RULE,
    &super::large_hole::RULE,
    &super::missing_drill::RULE,
    &super::missing_hole::RULE,
    &super::padded_unplated_hole::RULE,
    &super::padless_plated_hole::RULE,
    &super::shifted_holes::RULE,
    &super::slot_given_twice::RULE,
    &super::small_hole::RULE,
    &super::unclear_drill_format::RULE,
    &super::unclear_plating::RULE,
    &super::unplated_touches_plated::RULE,
    &super::unsized_tool::RULE,
    &super::copper_near_hole::RULE,
    &super::narrow_track::RULE,
    &super::no_netlist::RULE,
    &super::open::RULE,
    &super::short::RULE,
    &super::thin_ring::RULE,
    &super::tight_gap::RULE,
    &super::missing_mask::RULE,
    &super::small_opening::RULE,
    &super::thin_web::RULE,
];

/// Every rule.
#[must_use]
pub fn registry() -> &'static [&'static Rule] {
    &RULES
}
