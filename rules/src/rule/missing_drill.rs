//! No drill data.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "missing-drill", group: Group::Holes, page: include_str!("missing_drill.md"), look: doubt::stops };
