//! What became of each query.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Nm, Point};

use super::{SAME_PLACE, moved};
use crate::query::{Query, QueryPlace, Severity, Verdict};

/// What became of a query.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Became {
    /// New data show it worse.
    Worse,
    /// It was not there before.
    New,
    /// As it was.
    StillThere,
    /// Less bad or in fewer places, but still asked about or told.
    Better,
    /// No longer there.
    Gone,
}

impl Became {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Worse => "worse",
            Self::New => "new",
            Self::StillThere => "still there",
            Self::Better => "better",
            Self::Gone => "gone",
        }
    }
}

/// A query of either set and what became of it.
#[derive(Clone, Debug)]
pub struct QueryChange {
    /// What became of it.
    pub became: Became,
    /// The rule.
    pub rule: &'static str,
    /// The title of the newer of its two ends.
    pub title: String,
    /// Its number in the old set.
    pub old: Option<u32>,
    /// Its numbers in the new set.
    pub new: Vec<u32>,
    /// How much it weighed.
    pub severity_old: Option<Severity>,
    /// How much it weighs.
    pub severity_new: Option<Severity>,
    /// Whether an accepted departure covers it in the new set.
    pub covered: bool,
    /// The worst value as it was.
    pub measured_old: Option<Nm>,
    /// The worst value of the places that are still there, or of the new ones.
    pub measured_new: Option<Nm>,
    /// Places that are gone.
    pub places_gone: u32,
    /// Places that are still there.
    pub places_kept: u32,
    /// Places that are new.
    pub places_new: u32,
    /// The worst place, in the new data's coordinates.
    pub at: Option<Point>,
}

/// A place of the new set: the query it belongs to, and its number there.
type Spot = (usize, usize);

struct Pair<'a> {
    old: &'a QueryPlace,
    new: &'a QueryPlace,
    query: usize,
}

pub(super) fn changes(old: &Verdict, new: &Verdict, by: Point) -> Vec<QueryChange> {
    let news: Vec<(&Query, bool)> =
        new.queries.iter().map(|q| (q, false)).chain(new.covered.iter().map(|q| (q, true))).collect();
    let olds: Vec<&Query> = old.queries.iter().chain(&old.covered).collect();
    let mut taken: BTreeSet<Spot> = BTreeSet::new();
    let mut known: BTreeSet<usize> = BTreeSet::new();
    let grid = grid(&news);
    let mut out = Vec::new();
    for query in olds {
        out.push(if query.places.is_empty() {
            about_the_set(query, &news, &mut known)
        } else {
            about_places(query, &grid, &news, by, &mut taken, &mut known)
        });
    }
    for (index, (query, covered)) in news.iter().enumerate() {
        let fresh: Vec<&QueryPlace> =
            query.places.iter().enumerate().filter(|(i, _)| !taken.contains(&(index, *i))).map(|(_, p)| p).collect();
        if if query.places.is_empty() { !known.contains(&index) } else { !fresh.is_empty() } {
            out.push(QueryChange {
                severity_new: Some(query.severity),
                new: vec![query.number],
                covered: *covered,
                measured_new: fresh
                    .iter()
                    .filter_map(|p| p.measured)
                    .min()
                    .or(query.measured.filter(|_| fresh.is_empty())),
                places_new: fresh.len() as u32,
                at: fresh.first().map(|p| p.at),
                ..bare(Became::New, query)
            });
        }
    }
    out.sort_by_key(|c| (c.became, std::cmp::Reverse(c.severity_new.max(c.severity_old)), c.old, c.new.clone()));
    out
}

/// Places of the new set by rule and by squares as wide as a place may move.
type Grid = BTreeMap<(&'static str, i64, i64), Vec<Spot>>;

fn grid(news: &[(&Query, bool)]) -> Grid {
    let mut out = Grid::new();
    for (index, (query, _)) in news.iter().enumerate() {
        for (number, place) in query.places.iter().enumerate() {
            let (x, y) = square(place.at);
            out.entry((query.rule, x, y)).or_default().push((index, number));
        }
    }
    out
}

const fn square(p: Point) -> (i64, i64) {
    (p.x.div_euclid(SAME_PLACE), p.y.div_euclid(SAME_PLACE))
}

fn bare(became: Became, query: &Query) -> QueryChange {
    QueryChange {
        became,
        rule: query.rule,
        title: query.title.clone(),
        old: None,
        new: Vec::new(),
        severity_old: None,
        severity_new: None,
        covered: false,
        measured_old: None,
        measured_new: None,
        places_gone: 0,
        places_kept: 0,
        places_new: 0,
        at: None,
    }
}

/// A query about no place: the same by its fingerprint, else the only one of its rule that is about no place.
fn about_the_set(old: &Query, news: &[(&Query, bool)], known: &mut BTreeSet<usize>) -> QueryChange {
    let alike = |i: &usize| news[*i].0.rule == old.rule && news[*i].0.places.is_empty() && !known.contains(i);
    let placeless: Vec<usize> = (0..news.len()).filter(alike).collect();
    let same = placeless.iter().find(|i| news[**i].0.fingerprint == old.fingerprint).or(placeless.first());
    let base = QueryChange { old: Some(old.number), severity_old: Some(old.severity), ..bare(Became::Gone, old) };
    let Some(&index) = same else { return base };
    known.insert(index);
    let (query, covered) = news[index];
    let became = match query.severity.cmp(&old.severity) {
        std::cmp::Ordering::Greater => Became::Worse,
        std::cmp::Ordering::Less => Became::Better,
        std::cmp::Ordering::Equal => Became::StillThere,
    };
    QueryChange {
        became,
        title: query.title.clone(),
        new: vec![query.number],
        severity_new: Some(query.severity),
        covered,
        ..base
    }
}

fn about_places(
    old: &Query,
    grid: &Grid,
    news: &[(&Query, bool)],
    by: Point,
    taken: &mut BTreeSet<Spot>,
    known: &mut BTreeSet<usize>,
) -> QueryChange {
    let mut pairs: Vec<Pair<'_>> = Vec::new();
    for place in &old.places {
        if let Some((query, number)) = nearest(old.rule, place, grid, news, by, taken) {
            taken.insert((query, number));
            known.insert(query);
            pairs.push(Pair { old: place, new: &news[query].0.places[number], query });
        }
    }
    let gone = old.places.len() - pairs.len();
    let base = QueryChange {
        old: Some(old.number),
        severity_old: Some(old.severity),
        measured_old: old.measured,
        places_gone: gone as u32,
        places_kept: pairs.len() as u32,
        ..bare(Became::Gone, old)
    };
    let Some(worst) = pairs.iter().min_by_key(|p| (p.new.measured, p.new.at)) else {
        return QueryChange { at: old.places.first().map(|p| moved(p.at, by)), ..base };
    };
    let mut met: Vec<usize> = pairs.iter().map(|p| p.query).collect();
    met.sort_unstable();
    met.dedup();
    let severity = met.iter().map(|i| news[*i].0.severity).max();
    QueryChange {
        became: became(old, severity, &pairs, gone),
        title: news[worst.query].0.title.clone(),
        new: met.iter().map(|i| news[*i].0.number).collect(),
        severity_new: severity,
        covered: met.iter().all(|i| news[*i].1),
        measured_new: worst.new.measured,
        at: Some(worst.new.at),
        ..base
    }
}

/// The free place of the same rule on the same kind of layer nearest to where a place was.
fn nearest(
    rule: &'static str,
    place: &QueryPlace,
    grid: &Grid,
    news: &[(&Query, bool)],
    by: Point,
    taken: &BTreeSet<Spot>,
) -> Option<Spot> {
    let at = moved(place.at, by);
    let (x, y) = square(at);
    let squares = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (rule, x + dx, y + dy)));
    squares
        .filter_map(|square| grid.get(&square))
        .flatten()
        .copied()
        .filter(|spot| !taken.contains(spot))
        .map(|spot| (spot, &news[spot.0].0.places[spot.1]))
        .filter(|(_, p)| p.layer == place.layer && p.at.distance(at) <= SAME_PLACE as f64)
        .min_by_key(|(spot, p)| (p.at.distance(at).round() as i64, *spot))
        .map(|(spot, _)| spot)
}

fn became(old: &Query, severity: Option<Severity>, pairs: &[Pair<'_>], gone: usize) -> Became {
    let moved_by = |p: &Pair<'_>| {
        let (a, b) = p.old.measured.zip(p.new.measured)?;
        let within = 1_000 + p.old.uncertainty.unwrap_or(0) + p.new.uncertainty.unwrap_or(0);
        Some(if (b - a).abs() <= within { 0 } else { (b - a).signum() })
    };
    let changes: Vec<i64> = pairs.iter().filter_map(moved_by).collect();
    let severity = severity.unwrap_or(old.severity);
    if changes.contains(&-1) || severity > old.severity {
        Became::Worse
    } else if severity < old.severity || gone > 0 || (!changes.is_empty() && changes.iter().all(|c| *c > 0)) {
        Became::Better
    } else {
        Became::StillThere
    }
}
