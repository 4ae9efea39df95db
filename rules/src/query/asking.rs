//! From findings to numbered queries: what was agreed on is sorted out first, the rest is grouped and worded.

use super::agreed::{Book, Case, Under, Use};
use super::surroundings::Pictures;
use super::{Agreement, Query, SettledBy, Severity, Verdict, group};
use crate::rule::Rule;
use crate::rule::context::Context;
use crate::rule::finding::Finding;

/// Gathers the queries of one board.
pub(crate) struct Asking<'a> {
    context: &'a Context<'a>,
    pictures: Pictures<'a>,
    book: Book<'a>,
    queries: Vec<Query>,
    covered: Vec<Query>,
}

impl<'a> Asking<'a> {
    pub(crate) fn new(context: &'a Context<'a>) -> Self {
        Self {
            context,
            pictures: Pictures::new(context.geometry),
            book: Book::new(&context.terms.agreed),
            queries: Vec::new(),
            covered: Vec::new(),
        }
    }

    /// Groups and words one rule's findings.
    pub(crate) fn ask(&mut self, rule: &'static Rule, findings: Vec<Finding>) {
        let pictures = &self.pictures;
        let first = |finding: &Finding| finding.places.first().and_then(|p| pictures.name(p));
        let case = Case {
            rule: rule.name,
            order: self.context.ordered,
            capability: &self.context.capability.name,
            surroundings: &first,
        };
        let sorted = self.book.sort(&case, findings);
        for (under, worst, mut query) in group::queries(rule, sorted, self.context) {
            if query.severity > Severity::Note {
                query.surroundings = pictures.sorted(&query.places);
            }
            let settled = match under {
                Under::Open => self.book.covers_query(&case, &query.fingerprint, &worst).inspect(|under| {
                    query.settled_by = settled_by(self.context, *under);
                }),
                known => {
                    query.settled_by = settled_by(self.context, known);
                    Some(known)
                }
            };
            if under == Under::Open
                && let Some(whole) = settled
            {
                self.book.note(whole, query.places.len());
            }
            match settled {
                Some(Under::Departure(_)) => self.covered.push(query),
                _ => self.queries.push(query),
            }
        }
    }

    /// Gravest first, rules in their own order within; numbers from 1, what is covered behind.
    pub(crate) fn finish(mut self, verdict: &mut Verdict) {
        self.queries.sort_by_key(|q| std::cmp::Reverse(q.severity));
        self.covered.sort_by_key(|q| std::cmp::Reverse(q.severity));
        for (number, query) in (1..).zip(self.queries.iter_mut().chain(&mut self.covered)) {
            query.number = number;
        }
        verdict.queries = self.queries;
        verdict.covered = self.covered;
        let uses = self.book.close(self.context.ordered);
        verdict.agreements = uses.into_iter().filter_map(|u| agreement(self.context, u)).collect();
    }
}

fn settled_by(context: &Context<'_>, under: Under) -> Option<SettledBy> {
    let agreed = &context.terms.agreed;
    match under {
        Under::Open => None,
        Under::Permission(i) => {
            let p = &agreed.permissions[i];
            Some(SettledBy {
                kind: "permission",
                id: p.id.clone(),
                text: p.does.clone(),
                by: p.given_by.clone(),
                on: p.on_day.to_string(),
                until: p.until.map(|d| d.to_string()),
                floor: p.least,
                picture: None,
            })
        }
        Under::Departure(i) => {
            let d = &agreed.departures[i];
            Some(SettledBy {
                kind: "departure",
                id: d.id.clone(),
                text: d.answer.clone(),
                by: d.accepted_by.clone(),
                on: d.on_day.to_string(),
                until: Some(d.until.to_string()),
                floor: d.floor,
                picture: Some(d.picture.clone()),
            })
        }
    }
}

fn agreement(context: &Context<'_>, used: Use) -> Option<Agreement> {
    let agreed = &context.terms.agreed;
    let (kind, id, scope) = match used.under {
        Under::Open => return None,
        Under::Permission(i) => ("permission", &agreed.permissions[i].id, agreed.permissions[i].scope()),
        Under::Departure(i) => ("departure", &agreed.departures[i].id, agreed.departures[i].scope()),
    };
    Some(Agreement { kind, id: id.clone(), scope: scope.words(), places: used.places, not: used.not })
}
