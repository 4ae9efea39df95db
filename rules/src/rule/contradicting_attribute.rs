//! An attribute says one thing and the geometry another.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "contradicting-attribute",
    group: Group::Set,
    page: include_str!("contradicting_attribute.md"),
    look: doubt::told_or_asks,
};
