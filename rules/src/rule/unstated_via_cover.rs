//! Vias of one board covered here and opened there, with nothing said about it.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use super::vias::{self, Covered};
use super::{Group, Rule};
use crate::fact::Cover;
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "unstated-via-cover", group: Group::Mask, page: include_str!("unstated_via_cover.md"), look };

/// Most places shown: the rarer kind, as examples.
const SHOWN: usize = 20;

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    vias::each(context, |all| mixed(context, all).into_iter().collect())
}

fn mixed(context: &Context<'_>, all: &[Covered<'_>]) -> Option<Finding> {
    let of = |cover: Cover| all.iter().filter(|v| v.sides == [cover, cover]).collect::<Vec<_>>();
    let (covered, opened) = (of(Cover::Covered), of(Cover::Opened));
    if covered.is_empty() || opened.is_empty() {
        return None;
    }
    let rarer = if opened.len() <= covered.len() { &opened } else { &covered };
    let places = rarer.iter().take(SHOWN).map(|v| context.hole_place(v.number, v.hole, None, None)).collect();
    let mut finding = Finding::without_limit(Severity::Note, LayerRole::Mask, places);
    finding.seen = format!(
        "Mask covers {} vias on both sides and leaves {} open on both; neither the data nor the order says which is meant.",
        covered.len(),
        opened.len()
    );
    Some(finding)
}
