//! Fewer copper layers than the order or the data themselves speak of.

use super::context::Context;
use super::doubt;
use super::finding::{Finding, LayerRole, Outcome};
use super::{Group, Rule};
use crate::board::{Role, Source};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "missing-layer", group: Group::Set, page: include_str!("missing_layer.md"), look };

fn look(rule: &Rule, context: &Context<'_>) -> Outcome {
    let mut outcome = doubt::stops(rule, context);
    // A file that a list names may be left out on purpose; copper that is spoken of may not.
    for finding in &mut outcome.findings {
        let listed = |s: &Source| context.board.files.get(s.file as usize).is_some_and(|f| f.role == Role::Job);
        if !finding.sources.is_empty() && finding.sources.iter().all(listed) {
            finding.severity = Severity::Ask;
        }
    }
    outcome.findings.extend(against_order(context));
    outcome
}

fn against_order(context: &Context<'_>) -> Option<Finding> {
    let found = context.board.copper.len();
    let ordered = context.ordered_layers.filter(|n| *n as usize != found)?;
    let mut finding = Finding::without_limit(Severity::Stop, LayerRole::Board, Vec::new())
        .reason("The number of copper layers ordered is compared with the copper files found.");
    let layers = |n: usize| words::counted(n, "copper layer", "copper layers");
    finding.seen = format!("The order asks for {} and the data hold {}.", layers(ordered as usize), layers(found));
    Some(finding)
}
