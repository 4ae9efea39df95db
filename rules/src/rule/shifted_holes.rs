//! Holes that lie off their lands all alike.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "shifted-holes", group: Group::Holes, page: include_str!("shifted_holes.md"), look: doubt::aligns };
