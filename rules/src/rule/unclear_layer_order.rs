//! Inner layers whose order the data do not say.

use super::{Group, Rule, doubt};

pub(super) const RULE: Rule = Rule {
    name: "unclear-layer-order",
    group: Group::Set,
    page: include_str!("unclear_layer_order.md"),
    look: doubt::stops,
};
