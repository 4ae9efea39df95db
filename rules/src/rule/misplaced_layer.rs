//! A layer that stands elsewhere, or in another scale, than the rest of the board.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule =
    Rule { name: "misplaced-layer", group: Group::Set, page: include_str!("misplaced_layer.md"), look: doubt::aligns };
