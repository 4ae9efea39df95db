//! A file that can be read in two ways which differ in what is made.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "two-readings", group: Group::Set, page: include_str!("two_readings.md"), look: doubt::asks };
