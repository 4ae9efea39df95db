//! Vias that mask covers on one side only.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::vias::{self, Covered};
use super::{Group, Rule};
use crate::board::{LayerRef, Side};
use crate::fact::Cover;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "half-covered-via", group: Group::Mask, page: include_str!("half_covered_via.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    vias::each(context, |all| {
        let found: Vec<(&Covered<'_>, Side)> = all.iter().filter_map(|v| Some((v, open_side(v)?))).collect();
        // Where all vias are closed on the same side, that is how the board was meant.
        let alike = found.len() == all.len() && found.windows(2).all(|w| w[0].1 == w[1].1);
        let severity = if alike && !context.order.immersion_gold { Severity::Note } else { Severity::Ask };
        let told = format!("{} of {} vias are closed on one side only.", found.len(), all.len());
        found.into_iter().map(|(via, open)| finding(context, via, open, severity).reason(told.clone())).collect()
    })
}

/// The open side of a via that is closed on the other.
const fn open_side(via: &Covered<'_>) -> Option<Side> {
    match via.sides {
        [Cover::Covered, Cover::Opened] => Some(Side::Bottom),
        [Cover::Opened, Cover::Covered] => Some(Side::Top),
        _ => None,
    }
}

fn finding(context: &Context<'_>, via: &Covered<'_>, open: Side, severity: Severity) -> Finding {
    let place = context.hole_place(via.number, via.hole, None, Some(LayerRef::Mask(open)));
    let found = Finding::without_limit(severity, LayerRole::Mask, vec![place]);
    if context.order.immersion_gold {
        found.reason("The finish is ordered as nickel and immersion gold, whose baths stay in half-closed holes.")
    } else {
        found
    }
}
