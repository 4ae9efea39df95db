//! A file whose purpose can only be guessed.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "unclear-role", group: Group::Set, page: include_str!("unclear_role.md"), look: doubt::asks };
