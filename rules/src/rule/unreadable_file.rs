//! A file of the set that cannot be read.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "unreadable-file", group: Group::Set, page: include_str!("unreadable_file.md"), look: doubt::stops };
