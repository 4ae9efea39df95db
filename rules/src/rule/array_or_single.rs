//! Several boards in one set.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "array-or-single",
    group: Group::Set,
    page: include_str!("array_or_single.md"),
    look: doubt::told_or_asks,
};
