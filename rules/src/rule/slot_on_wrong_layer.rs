//! Openings drawn where nothing says that they are milled.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "slot-on-wrong-layer",
    group: Group::Outline,
    page: include_str!("slot_on_wrong_layer.md"),
    look: doubt::asks,
};
