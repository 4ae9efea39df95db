//! Fiducials under mask, or with other copper too near.

use super::context::Context;
use super::feature;
use super::finding::{Finding, Outcome};
use super::{Group, Rule};
use crate::board::FeatureKind;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "covered-fiducial", group: Group::Copper, page: include_str!("covered_fiducial.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    if context.board.copper.is_empty() {
        return Outcome::not_run("no copper layer in the data");
    }
    let marks = || context.board.features.iter().filter(|f| f.kind == FeatureKind::Fiducial);
    let covered = marks().filter(|f| !f.settled).map(|f| feature::finding(context, f, Severity::Ask));
    let near = context.facts.of(FactKind::FiducialRing).filter_map(|fact| ring(context, fact));
    Outcome { looked_at: marks().count() as u64, findings: covered.chain(near).collect(), not_run: None }
}

fn ring(context: &Context<'_>, fact: &Fact) -> Option<Finding> {
    let diameter = fact.length?;
    let found = context.held(fact, fact.value, context.capability.fiducial_ring(diameter))?;
    let found = found.capped(Severity::Ask).case("clear ring");
    Some(found.reason(if fact.same_net {
        "The copper of the mark goes on beyond it, so nothing sets it off.".to_owned()
    } else {
        format!("The mark is {} across; never more than its radius is asked for.", words::millimetres(diameter))
    }))
}
