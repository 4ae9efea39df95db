//! Hole too deep for its tool to be drilled and plated well.

use super::context::Context;
use super::finding::Outcome;
use super::small_hole::each_tool;
use super::{Group, Rule};
use crate::board::{Hole, HolePlating};

pub(super) const RULE: Rule =
    Rule { name: "high-aspect-ratio", group: Group::Holes, page: include_str!("high_aspect_ratio.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let layers = context.board.copper.len() as u32;
    let limit = context.capability.aspect_tool(context.order.thickness);
    // Holes that do not pass the whole board are drilled in a thinner part of it, whose thickness the data do not say.
    let through = |hole: &Hole| layers == 0 || (hole.span.0 <= 1 && hole.span.1 >= layers);
    each_tool(context, |hole| hole.plating != HolePlating::Unplated && through(hole), |_| limit.clone())
}
