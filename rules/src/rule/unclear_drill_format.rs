//! Drill data whose numbers can be read in several ways.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "unclear-drill-format",
    group: Group::Holes,
    page: include_str!("unclear_drill_format.md"),
    look: doubt::asks,
};
