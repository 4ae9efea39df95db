//! Plated hole without a land on an outer layer, or the only one without on an inner layer.

use std::collections::BTreeSet;

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::thin_ring::is_landless;
use super::{Group, Rule};
use crate::board::{Hole, HoleKind, HolePlating, LayerRef};
use crate::fact::FactKind;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "padless-plated-hole", group: Group::Holes, page: include_str!("padless_plated_hole.md"), look };

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
    for layer in &context.board.copper {
        let inner = context.is_inner(Some(LayerRef::Copper(layer.number)));
        let mut on_layer = Outcome::default();
        look_at_layer(context, layer.number, &mut on_layer);
        outcome.looked_at += on_layer.looked_at;
        if !inner || stands_out(on_layer.findings.len(), on_layer.looked_at) {
            outcome.findings.extend(on_layer.findings);
        }
    }
    outcome
}

/// On an inner layer a hole that joins nothing needs no land, so many without one are a habit. One in
/// fifty without, where all others have theirs, is more likely a land that went missing.
fn stands_out(landless: usize, looked_at: u64) -> bool {
    landless > 0 && landless as u64 * 50 <= looked_at
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
    measured
        .filter(|f| context.holes_of(f).next().is_some_and(|h| is_landless(f.value, h)))
        .flat_map(|f| f.holes.first().copied())
        .collect()
}

fn finding(context: &Context<'_>, number: u32, hole: &Hole, layer: LayerRef) -> Finding {
    let role = context.role(Some(layer));
    let found = Finding::without_limit(Severity::Ask, role, vec![context.hole_place(number, hole, None, Some(layer))]);
    let found = if role == LayerRole::Outer {
        found
    } else {
        found.reason(
            "On this inner layer nearly every other plated hole has a land, so a missing one stands out.".to_string(),
        )
    };
    hole.why().into_iter().fold(found, Finding::reason)
}
