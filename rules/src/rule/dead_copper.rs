//! Copper that is joined to nothing.

use super::context::Context;
use super::doubt;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::fact::Floating;
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "dead-copper", group: Group::Copper, page: include_str!("dead_copper.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let facts = context.facts;
    if context.board.copper.is_empty() {
        return Outcome::not_run("no copper layer in the data");
    }
    let pieces: u64 = facts.layers.iter().map(|l| u64::from(l.islands)).sum();
    let left_out: Vec<String> =
        facts.floating_not_looked.iter().map(|(layer, why)| format!("{}: {why}", layer.name())).collect();
    Outcome {
        looked_at: pieces,
        findings: facts.floating.iter().filter(|f| f.taken_for.is_none()).map(|f| finding(context, f)).collect(),
        not_run: (!left_out.is_empty()).then(|| format!("run in part: {}", words::listed(&left_out))),
    }
}

fn finding(context: &Context<'_>, piece: &Floating) -> Finding {
    let mut place = doubt::bare_place(piece.at, piece.source.into_iter().collect());
    place.layer = Some(piece.layer);
    Finding::without_limit(Severity::Note, context.role(Some(piece.layer)), vec![place]).reason(format!(
        "The piece at {} is {} × {} and touches no hole; no land and no opening of the mask lies on it.",
        words::point(piece.at),
        words::millimetres(piece.size.0),
        words::millimetres(piece.size.1)
    ))
}
