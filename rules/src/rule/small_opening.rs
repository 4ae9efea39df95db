//! Mask opening smaller than its land, or hardly larger.

use std::collections::BTreeMap;

use landgap_parser::Nm;

use super::context::Context;
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::board::LayerRef;
use crate::fact::{Fact, FactKind};
use crate::query::{Severity, words};

pub(super) const RULE: Rule =
    Rule { name: "small-opening", group: Group::Mask, page: include_str!("small_opening.md"), look };

/// From so many lands covered alike on one side, the covering is taken as meant.
const PATTERN: usize = 4;

type Alike = (Option<LayerRef>, Nm);

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    let mut counted: BTreeMap<Alike, usize> = BTreeMap::new();
    for fact in context.facts.of(FactKind::MaskClearance).filter(|f| f.value < 0) {
        *counted.entry(alike(fact)).or_default() += 1;
    }
    let widest = context.capability.clearance(&context.order).levels.minimum;
    side::each_fact(context, FactKind::MaskClearance, widest, |fact| judge(context, fact, &counted))
}

fn alike(fact: &Fact) -> Alike {
    (fact.layer, words::whole_micrometres(fact.value))
}

fn judge(context: &Context<'_>, fact: &Fact, counted: &BTreeMap<Alike, usize>) -> Option<Finding> {
    let mut limit = context.capability.clearance(&context.order);
    // Openings are grown at the shop as a matter of course: nothing is said above the minimum, nothing asked above zero.
    limit.levels.preferred = limit.levels.minimum;
    let drawn_smaller = fact.value + fact.uncertainty < 0;
    let pattern = counted.get(&alike(fact)).is_some_and(|n| *n >= PATTERN);
    let severity = if drawn_smaller && !pattern { Severity::Ask } else { Severity::Note };
    let found = context.held(fact, fact.value, limit)?.capped(severity);
    Some(if !drawn_smaller {
        found
    } else if pattern {
        found.reason(format!("At least {PATTERN} lands on this side are covered by the same amount: they are taken as bounded by the mask on purpose."))
    } else {
        found.case("smaller than its land").reason(format!(
            "Fewer than {PATTERN} lands on this side are covered by this amount, so it does not look meant."
        ))
    })
}
