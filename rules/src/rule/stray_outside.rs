//! Things drawn or drilled outside the board.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "stray-outside",
    group: Group::Set,
    page: include_str!("stray_outside.md"),
    look: doubt::told_or_asks,
};
