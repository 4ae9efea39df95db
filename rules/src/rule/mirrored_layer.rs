//! A layer that fits the others only when it is mirrored.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "mirrored-layer", group: Group::Set, page: include_str!("mirrored_layer.md"), look: doubt::asks };
