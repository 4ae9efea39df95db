//! Several holes of different size at one place.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "doubled-hole", group: Group::Holes, page: include_str!("doubled_hole.md"), look: doubt::asks };
