//! Annular ring too small.

use landgap_parser::Nm;

use super::context::{Context, with_plating_doubt};
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::{Hole, HoleKind, HolePlating};
use crate::capability::{RingJudged, arithmetic};
use crate::fact::{Fact, FactKind};
use crate::query::words;

pub(super) const RULE: Rule =
    Rule { name: "thin-ring", group: Group::Copper, page: include_str!("thin_ring.md"), look };

/// One ring, three ways.
struct Ring {
    drawn: Nm,
    drilled: Nm,
    made: Nm,
}

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let widest = context.widest(|inner| context.capability.ring(inner, &context.order));
    context.each_fact(FactKind::RingDrawn, widest, |fact| judge(context, fact))
}

fn judge(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let hole = context.holes_of(fact).next()?;
    let exempt = hole.plating == HolePlating::Unplated || hole.kind == HoleKind::HalfHole;
    if exempt || is_landless(fact.value, hole) {
        return None;
    }
    let inner = context.is_inner(fact.layer);
    let ring = rings(context, fact.value, hole, inner);
    let judged = context.capability.values.ring_judged;
    let value = match judged {
        RingJudged::Drawn => ring.drawn,
        RingJudged::Drilled => ring.drilled,
        RingJudged::Made => ring.made,
    };
    let found = context.held(fact, value, context.capability.ring(inner, &context.order))?;
    let found = found.reason(three_ways(&ring, judged)).reason(breakout(context, &ring, hole, inner));
    let found = found.reason(worst_direction(fact, hole));
    Some(with_plating_doubt(found, hole))
}

/// Whether the land does not even reach the hole's axis: no land at all.
pub(super) fn is_landless(ring: Nm, hole: &Hole) -> bool {
    hole.finished.is_some_and(|d| ring <= -(d / 2))
}

fn rings(context: &Context<'_>, drawn: Nm, hole: &Hole, inner: bool) -> Ring {
    let drilled = arithmetic::drilled_ring(drawn, context.capability.allowance(hole));
    Ring { drawn, drilled, made: arithmetic::made_ring(drilled, context.capability.registration(inner)) }
}

/// Where the edge of the land comes nearest, seen from the hole's axis.
fn worst_direction(fact: &Fact, hole: &Hole) -> String {
    let at = hole.at();
    let degrees = ((fact.to.y - at.y) as f64).atan2((fact.to.x - at.x) as f64).to_degrees().rem_euclid(360.0);
    format!("It is least at {degrees:.0}°, counted from the x axis towards the y axis.")
}

fn three_ways(ring: &Ring, judged: RingJudged) -> String {
    format!(
        "The ring is {} as drawn (finished hole), {} as drilled (tool) and {} as made (tool and worst registration); the profile judges it {}.",
        words::length(ring.drawn),
        words::length(ring.drilled),
        words::length(ring.made),
        judged.word()
    )
}

/// What the worst registration would do, the land taken as round and the drawn ring as even.
fn breakout(context: &Context<'_>, ring: &Ring, hole: &Hole, inner: bool) -> String {
    let Some(finished) = hole.finished else { return "The data give no size for the hole.".to_owned() };
    let allowance = context.capability.allowance(hole);
    let registration = context.capability.registration(inner);
    let angle = arithmetic::breakout_degrees(ring.drawn + finished / 2, (finished + allowance) / 2, registration);
    let class = context.order.class;
    let allowed = match arithmetic::breakout_allowed_degrees(class) {
        0 => "no breakout".to_owned(),
        degrees => format!("{degrees}°"),
    };
    format!(
        "A tool {} wide that lies {} off would leave a round land over {angle:.0}°; class {class} allows {allowed} (IPC-6012, from secondary literature).",
        words::millimetres(finished + allowance),
        words::millimetres(registration)
    )
}
