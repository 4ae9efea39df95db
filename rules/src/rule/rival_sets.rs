//! Several files that claim to be the same layer.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "rival-sets", group: Group::Set, page: include_str!("rival_sets.md"), look: doubt::stops };
