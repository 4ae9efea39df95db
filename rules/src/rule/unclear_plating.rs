//! Holes of which the data do not say whether they are plated.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "unclear-plating", group: Group::Holes, page: include_str!("unclear_plating.md"), look: doubt::asks };
