//! A legend whose text reads the wrong way round for its side.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "mirrored-legend", group: Group::Mask, page: include_str!("mirrored_legend.md"), look: doubt::asks };
