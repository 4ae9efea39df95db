//! Several outlines that differ.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "rival-outlines", group: Group::Outline, page: include_str!("rival_outlines.md"), look: doubt::stops };
