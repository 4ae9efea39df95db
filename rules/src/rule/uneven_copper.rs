//! Copper spread unevenly: over the board, or between layers that mirror each other about its middle.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule, doubt};
use crate::board::{LayerRef, Side, Source};
use crate::capability::arithmetic;
use crate::fact::{Coverage, LayerFacts};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "uneven-copper", group: Group::Copper, page: include_str!("uneven_copper.md"), look };

/// A layer with less copper than this, in millionths of the board, is a matter of its own (empty-copper).
const EMPTY: u32 = 10_000;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let layers = &context.facts.layers;
    let covered: Vec<(&LayerFacts, &Coverage)> =
        layers.iter().filter_map(|l| Some((l, l.coverage.as_ref()?))).filter(|(_, c)| c.share >= EMPTY).collect();
    if layers.iter().all(|l| l.coverage.is_none()) {
        return Outcome::not_run(if layers.is_empty() {
            "no copper layer in the data"
        } else {
            "no outline in the data"
        });
    }
    let mut outcome = Outcome { looked_at: layers.len() as u64, ..Outcome::default() };
    outcome.findings.extend(pairs(context));
    outcome.findings.extend(covered.iter().filter_map(|(layer, coverage)| sparse(context, layer, coverage)));
    outcome
}

/// Pairs of layers that mirror each other about the middle.
fn pairs(context: &Context<'_>) -> Vec<Finding> {
    let layers = &context.facts.layers;
    let share = |l: &LayerFacts| l.coverage.as_ref().map(|c| c.share).filter(|s| *s >= EMPTY);
    let (preferred, maximum, source) = context.capability.pair_difference();
    let mut out = Vec::new();
    for (upper, lower) in layers.iter().zip(layers.iter().rev()).take(layers.len() / 2) {
        let (Some(a), Some(b)) = (share(upper), share(lower)) else { continue };
        let difference = (i64::from(a) - i64::from(b)).abs();
        // Two layers stand on one cured core, which no press bends: they are told of, not asked about.
        let two = layers.len() == 2;
        let severity = match difference {
            d if d > maximum => {
                if two {
                    Severity::Note
                } else {
                    Severity::Ask
                }
            }
            d if d > preferred && !two => Severity::Note,
            _ => continue,
        };
        let mut finding = Finding::without_limit(severity, LayerRole::Board, Vec::new());
        finding.seen = format!(
            "Copper {} covers {} of the board and copper {}, its counterpart about the middle, {}: {} points apart.",
            upper.layer,
            percent(a),
            lower.layer,
            percent(b),
            difference / 10_000
        );
        finding.reasons = vec![
            format!(
                "From {} points apart it is told, from {} asked about on boards of more than two layers. Source: {}.",
                preferred / 10_000,
                maximum / 10_000,
                source.trim_end_matches('.')
            ),
            imbalance(context),
        ];
        let files = [upper, lower].map(|l| context.board.copper.iter().find(|c| c.number == l.layer));
        finding.sources = files.into_iter().flatten().map(|c| Source { file: c.file, line: 0 }).collect();
        out.push(finding);
    }
    out
}

/// The copper's centre against the middle of the board, in a build that is assumed.
fn imbalance(context: &Context<'_>) -> String {
    let share = |l: &LayerFacts| l.coverage.as_ref().map_or(0.0, |c| f64::from(c.share) / 1e6);
    let shares: Vec<f64> = context.facts.layers.iter().map(share).collect();
    let order = &context.order;
    let build = arithmetic::usual_build(&shares, order.thickness, order.copper, order.inner_copper);
    format!(
        "In a usual build of {} (thin dielectric under the outer layers, the rest shared out evenly) the copper's \
         centre lies {:.2} of the way from the middle to the face: 0 is balanced.",
        words::millimetres(order.thickness),
        arithmetic::warp_index(&build, order.thickness as f64)
    )
}

/// A plated layer with a window that is nearly bare.
fn sparse(context: &Context<'_>, layer: &LayerFacts, coverage: &Coverage) -> Option<Finding> {
    let (limit, source) = context.capability.sparse();
    let least = coverage.least.filter(|w| w.share < limit && layer.side != Side::Inner)?;
    let mut place = doubt::bare_place(least.at, Vec::new());
    place.layer = Some(LayerRef::Copper(layer.layer));
    let mut finding = Finding::without_limit(Severity::Note, LayerRole::Board, vec![place]);
    finding.seen = format!(
        "Copper {} covers {} of the board, but only {} of a window of 25 mm about {}; where copper is sparse, plating grows thick.",
        layer.layer,
        percent(coverage.share),
        percent(least.share),
        words::point(least.at)
    );
    finding.reasons = vec![format!(
        "Below {} in a window of an outer layer it is told. Source: {}.",
        percent(limit),
        source.trim_end_matches('.')
    )];
    Some(finding)
}

/// Millionths as whole per cent, with a decimal where it is little.
fn percent(share: u32) -> String {
    let per_cent = f64::from(share) / 10_000.0;
    if share < 100_000 { format!("{per_cent:.1} %") } else { format!("{per_cent:.0} %") }
}
