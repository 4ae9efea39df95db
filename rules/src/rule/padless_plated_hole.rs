//! Plated hole without a land on an outer layer.

use std::collections::BTreeSet;

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::thin_ring::is_landless;
use super::{Group, Rule};
use crate::board::{Hole, HoleKind, HolePlating, LayerRef};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule = Rule { name: "padless-plated-hole", group: Group::Holes, page: include_str!("padless_plated_hole.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.holes.is_empty() {
        return Outcome::not_run("no holes in the data");
    }
    if context.board.copper.is_empty() {
        return Outcome::not_run("no copper layer in the data");
    }
    if context.facts.landed.len() != context.board.holes.len() {
        return Outcome::not_run("this was not measured");
    }
    let mut outcome = Outcome::default();
    for layer in context.board.copper.iter().filter(|c| !context.is_inner(Some(LayerRef::Copper(c.number)))) {
        look_at_layer(context, layer.number, &mut outcome);
    }
    outcome
}

fn look_at_layer(context: &Context<'_>, number: u32, outcome: &mut Outcome) {
    let layer = LayerRef::Copper(number);
    let landless = landless(context, layer);
    for (i, (hole, landed)) in (0u32..).zip(context.board.holes.iter().zip(&context.facts.landed)) {
        let passes = hole.span.0 <= number && number <= hole.span.1;
        if hole.plating != HolePlating::Plated || hole.kind == HoleKind::HalfHole || !passes {
            continue;
        }
        outcome.looked_at += 1;
        if landless.contains(&i) || !landed.contains(&number) {
            outcome.findings.push(finding(context, i, hole, layer));
        }
    }
}

/// Holes that touch copper on this layer, which does not reach their axis: a track that grazes them, no land.
fn landless(context: &Context<'_>, layer: LayerRef) -> BTreeSet<u32> {
    let measured = context.facts.of(FactKind::RingDrawn).filter(|f| f.layer == Some(layer));
    measured.filter(|f| context.holes_of(f).next().is_some_and(|h| is_landless(f.value, h))).flat_map(|f| f.holes.first().copied()).collect()
}

fn finding(context: &Context<'_>, number: u32, hole: &Hole, layer: LayerRef) -> Finding {
    let found = Finding::without_limit(Severity::Ask, LayerRole::Outer, vec![context.hole_place(number, hole, None, Some(layer))]);
    hole.reasons.iter().fold(found, |found, reason| found.reason(reason.clone()))
}
