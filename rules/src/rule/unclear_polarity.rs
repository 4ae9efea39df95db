//! Inner copper that looks drawn as a negative, without the file saying so.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "unclear-polarity", group: Group::Set, page: include_str!("unclear_polarity.md"), look: doubt::asks };
