//! Copper painted in strokes, without lands.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "painted-copper", group: Group::Set, page: include_str!("painted_copper.md"), look: doubt::asks };
