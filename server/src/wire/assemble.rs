//! Puts a report together from what was measured and judged.

use std::collections::BTreeMap;

use landgap_parser::Point;
use landgap_rules::board::{LayerRef, Source};
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::Measured;
use landgap_rules::fact::{Fact, FactKind, Facts};
use landgap_rules::query::{self, Verdict as Judged};

use super::board::{self, point};
use super::cautions::CAUTIONS;
use super::report::{
    Agreement, Answer, Data, Least, NotMeasured, Ordered, Place, Query, Report, RuleRan, SettledBy,
    Source as WireSource, Surroundings, Verdict,
};
use super::um::Um;
use super::{REPORT_VERSION, VERSION};
use crate::intake::DataSet;
use crate::profile;

/// What judging adds to the facts.
#[derive(Debug)]
pub struct Judgement<'a> {
    /// The outcome.
    pub judged: &'a Judged,
    /// The profile it was judged against.
    pub capability: &'a Capability,
    /// What was ordered.
    pub order: &'a Order,
}

/// The report of a set; without a judgement it holds the facts alone.
#[must_use]
pub fn report(set: &DataSet, measured: &Measured, judgement: Option<&Judgement<'_>>) -> Report {
    let mut assumptions = measured.board.assumptions.clone();
    let queries: Vec<Query> = match judgement {
        Some(j) => {
            assumptions
                .extend(j.judged.assumptions.iter().filter(|a| !measured.board.assumptions.contains(a)).cloned());
            j.judged.queries.iter().map(|q| query(q, measured)).collect()
        }
        None => Vec::new(),
    };
    Report {
        landgap: VERSION.to_owned(),
        report: REPORT_VERSION,
        data: Data { id: set.id.clone(), files: board::files(set, &measured.board) },
        board: board::board(measured, judgement.map(|j| thickness(j, measured)), judgement.map(|j| j.capability)),
        measured: least(&measured.facts),
        not_measured: not_measured(&measured.facts),
        capability: judgement.map(|j| profile::name_of(j.capability)),
        ordered: judgement.map_or_else(Ordered::default, |j| ordered(j.order)),
        assumptions,
        ran: judgement.map_or_else(Vec::new, |j| j.judged.ran.iter().map(ran).collect()),
        verdict: count(&queries),
        queries,
        covered: judgement.map_or_else(Vec::new, |j| j.judged.covered.iter().map(|q| query(q, measured)).collect()),
        agreements: judgement.map_or_else(Vec::new, |j| j.judged.agreements.iter().map(agreement).collect()),
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
    }
}

fn thickness(judgement: &Judgement<'_>, measured: &Measured) -> i64 {
    judgement.order.settle(judgement.capability, measured.board.copper.len() > 2).thickness
}

fn least(facts: &Facts) -> Vec<Least> {
    let mut groups: BTreeMap<(FactKind, Option<LayerRef>), (&Fact, u64)> = BTreeMap::new();
    for fact in &facts.facts {
        let group = groups.entry((fact.kind, fact.layer)).or_insert((fact, 0));
        group.1 += 1;
        if fact.value < group.0.value {
            group.0 = fact;
        }
    }
    let looked_at = |kind| facts.looked_at.iter().find(|(k, _)| *k == kind).map(|(_, n)| *n);
    let row = |((kind, layer), (fact, counted)): ((FactKind, Option<LayerRef>), (&Fact, u64))| Least {
        fact: kind.word().to_owned(),
        layer: if let Some(LayerRef::Copper(number)) = layer { Some(number) } else { None },
        on: layer.map(LayerRef::name),
        least_um: Um(fact.value),
        uncertainty_um: Um(fact.uncertainty),
        at_um: point(middle(fact.from, fact.to)),
        counted,
        looked_at: looked_at(kind),
    };
    groups.into_iter().map(row).collect()
}

const fn middle(a: Point, b: Point) -> Point {
    Point::new(a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2)
}

fn not_measured(facts: &Facts) -> Vec<NotMeasured> {
    let row =
        |(kind, reason): &(FactKind, String)| NotMeasured { fact: kind.word().to_owned(), reason: reason.clone() };
    facts.not_measured.iter().map(row).collect()
}

fn ran(ran: &query::Ran) -> RuleRan {
    let did_run = ran.not_run.is_none();
    RuleRan {
        rule: ran.rule.to_owned(),
        looked_at: did_run.then_some(ran.looked_at),
        found: did_run.then_some(ran.found),
        not_run: ran.not_run.clone(),
    }
}

fn count(queries: &[Query]) -> Verdict {
    let of = |severity: &str| queries.iter().filter(|q| q.severity == severity).count() as u32;
    Verdict { stop: of("stop"), ask: of("ask"), note: of("note"), fix: of("fix") }
}

fn query(q: &query::Query, measured: &Measured) -> Query {
    Query {
        number: q.number,
        rule: q.rule.to_owned(),
        severity: q.severity.word().to_owned(),
        title: q.title.clone(),
        what: q.what.clone(),
        why: q.why.clone(),
        layers: q.layers.clone(),
        measured_um: q.measured.map(Um),
        required_um: q.required.map(Um),
        uncertainty_um: q.uncertainty.map(Um),
        required_by: q.required_by.clone(),
        count: q.places.len() as u32,
        places: q.places.iter().map(|p| place(p, measured)).collect(),
        reasons: q.reasons.clone(),
        options: q.options.iter().map(answer).collect(),
        surroundings: q.surroundings.iter().map(surroundings).collect(),
        settled_by: q.settled_by.as_ref().map(settled_by),
        fingerprint: q.fingerprint.clone(),
    }
}

fn answer(option: &query::QueryOption) -> Answer {
    Answer {
        key: option.key.to_string(),
        text: option.text.clone(),
        answer: option.answer.word().to_owned(),
        effect: option.effect.clone(),
        recommended: option.recommended,
    }
}

fn surroundings(s: &query::Surroundings) -> Surroundings {
    Surroundings { name: s.name.clone(), places: s.places.iter().map(|p| p + 1).collect() }
}

fn settled_by(s: &query::SettledBy) -> SettledBy {
    SettledBy {
        kind: s.kind.to_owned(),
        id: s.id.clone(),
        text: s.text.clone(),
        by: s.by.clone(),
        on: s.on.clone(),
        until: s.until.clone(),
        floor_um: s.floor.map(Um),
        picture: s.picture.clone(),
    }
}

fn agreement(a: &query::Agreement) -> Agreement {
    Agreement {
        kind: a.kind.to_owned(),
        id: a.id.clone(),
        scope: a.scope.clone(),
        places: a.places,
        not: a.not.clone(),
    }
}

fn ordered(order: &Order) -> Ordered {
    Ordered {
        customer: order.customer.clone(),
        part: order.part.clone(),
        revision: order.revision.clone(),
        number: order.number.clone(),
        contact: order.contact.clone(),
        answer_by: order.answer_by.map(|d| d.to_string()),
    }
}

fn place(p: &query::QueryPlace, measured: &Measured) -> Place {
    Place {
        x_um: Um(p.at.x),
        y_um: Um(p.at.y),
        measured_um: p.measured.map(Um),
        drawn_um: p.drawn.map(Um),
        layer: p.layer.map(LayerRef::name),
        between_um: p.between.map(|(a, b)| [point(a), point(b)]),
        nets: p.nets.clone(),
        sources: p.sources.iter().filter_map(|s| source(*s, measured)).collect(),
    }
}

/// A line of the data by the path of its file.
#[must_use]
pub fn source(source: Source, measured: &Measured) -> Option<WireSource> {
    let file = measured.board.files.get(source.file as usize)?;
    Some(WireSource { file: file.path.clone(), line: (source.line > 0).then_some(source.line) })
}
