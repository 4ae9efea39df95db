//! A side without solder mask data.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "missing-mask", group: Group::Mask, page: include_str!("missing_mask.md"), look: doubt::stops };
