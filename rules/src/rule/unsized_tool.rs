//! A tool without a size.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "unsized-tool", group: Group::Holes, page: include_str!("unsized_tool.md"), look: doubt::stops };
