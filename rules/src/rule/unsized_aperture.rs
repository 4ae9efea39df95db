//! Apertures that are used and have no size.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "unsized-aperture",
    group: Group::Set,
    page: include_str!("unsized_aperture.md"),
    look: doubt::told_or_stops,
};
