//! A copper layer with next to nothing on it.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{LayerRef, Source};
use crate::fact::LayerFacts;
use crate::query::{Severity, words};

/// A layer with less copper than this share of the board is asked about (common practice, no source).
const LEAST_SHARE: f64 = 0.01;

pub(super) const RULE: Rule =
    Rule { name: "empty-copper", group: Group::Set, page: include_str!("empty_copper.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let board = context.facts.board_mm2;
    if board <= 0.0 {
        return Outcome::not_run("no outline in the data");
    }
    let layers = &context.facts.layers;
    let bare = layers.iter().filter(|l| l.copper_mm2 < board * LEAST_SHARE && !joins(context, l));
    Outcome { looked_at: layers.len() as u64, findings: bare.map(|l| finding(context, l)).collect(), not_run: None }
}

/// Whether at least a tenth of the plated holes touch copper on the layer: sparse, but wired.
fn joins(context: &Context<'_>, layer: &LayerFacts) -> bool {
    let landed = &context.facts.landed;
    let on = landed.iter().filter(|l| l.contains(&layer.layer)).count();
    on > 0 && on * 10 >= landed.len()
}

fn finding(context: &Context<'_>, layer: &LayerFacts) -> Finding {
    let severity = if layer.islands == 0 { Severity::Stop } else { Severity::Ask };
    let mut finding = Finding::without_limit(severity, LayerRole::Board, Vec::new());
    let name = LayerRef::Copper(layer.layer).name();
    let share = layer.copper_mm2 / context.facts.board_mm2 * 100.0;
    finding.seen = words::sentence(&format!("{name} carries copper on {share:.2} % of the board"));
    finding
        .reasons
        .push(format!("It has {}.", words::counted(layer.islands as usize, "piece of copper", "pieces of copper")));
    let files = context.board.copper.iter().filter(|c| c.number == layer.layer);
    finding.sources = files.map(|c| Source { file: c.file, line: 0 }).collect();
    finding
}
