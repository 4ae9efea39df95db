//! What customer and shop have agreed on before: standing permissions and accepted departures.
//!
//! A permission turns a finding into something done and listed; a departure covers it. Both have
//! bounds, both end, neither ever settles what cannot be made or a difference from a netlist, and
//! neither hides anything: what they settle is listed with them, what they do not settle says why.

mod day;
mod departure;
mod draft;
mod permission;
mod scope;

pub use day::Day;
pub use departure::{Departure, parse as parse_departures};
pub use draft::Draft;
pub use permission::{Permission, parse as parse_permissions};
pub use scope::{On, Scope};

use crate::capability::{FileError, Order};
use crate::rule::finding::Finding;
use crate::rule::registry;

/// Rules about differences from a netlist: no agreement settles these.
const NETLIST_RULES: [&str; 3] = ["no-netlist", "open", "short"];

/// Everything agreed on, and the day it is held against.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Agreed {
    /// Standing permissions.
    pub permissions: Vec<Permission>,
    /// Accepted departures.
    pub departures: Vec<Departure>,
    /// The day of the check; without it nothing has ended.
    pub today: Option<Day>,
}

/// What settles a finding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Under {
    /// Nothing.
    #[default]
    Open,
    /// A permission, by its place in [`Agreed::permissions`].
    Permission(usize),
    /// A departure, by its place in [`Agreed::departures`].
    Departure(usize),
}

/// What became of one agreement on one board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Use {
    /// Which.
    pub under: Under,
    /// Places it settled.
    pub places: u64,
    /// Why it settled nothing, or not all of its rule's places.
    pub not: Vec<String>,
}

/// What a finding is held against besides its own numbers.
pub(crate) struct Case<'a> {
    pub rule: &'static str,
    pub order: &'a Order,
    pub capability: &'a str,
    /// The surroundings of the finding's first place, worked out only where a departure asks for them.
    pub surroundings: &'a dyn Fn(&Finding) -> Option<String>,
}

/// Sorts one rule's findings by what settles them, and keeps book.
pub(crate) struct Book<'a> {
    agreed: &'a Agreed,
    uses: Vec<Use>,
}

impl<'a> Book<'a> {
    pub(crate) fn new(agreed: &'a Agreed) -> Self {
        let permissions = (0..agreed.permissions.len()).map(Under::Permission);
        let departures = (0..agreed.departures.len()).map(Under::Departure);
        let uses = permissions.chain(departures).map(|under| Use { under, places: 0, not: Vec::new() }).collect();
        Self { agreed, uses }
    }

    pub(crate) fn sort(&mut self, case: &Case<'_>, findings: Vec<Finding>) -> Vec<(Under, Finding)> {
        let mut sorted: Vec<(Under, Finding)> = findings.into_iter().map(|f| self.settle(case, f)).collect();
        self.count(&mut sorted);
        sorted
    }

    /// What became of each agreement, in the order they were given.
    pub(crate) fn close(self, order: &Order) -> Vec<Use> {
        let agreed = self.agreed;
        let mut uses = self.uses;
        for used in uses.iter_mut().filter(|u| u.places == 0 && u.not.is_empty()) {
            let (scope, until) = match used.under {
                Under::Permission(i) => (agreed.permissions[i].scope(), agreed.permissions[i].until),
                Under::Departure(i) => (agreed.departures[i].scope(), Some(agreed.departures[i].until)),
                Under::Open => continue,
            };
            used.not.push(match scope.excludes(order).or_else(|| ended(until, agreed.today)) {
                Some(why) => why,
                None => "nothing on this board needs it".to_owned(),
            });
        }
        uses
    }

    fn settle(&mut self, case: &Case<'_>, mut finding: Finding) -> (Under, Finding) {
        for i in 0..self.agreed.departures.len() {
            let departure = &self.agreed.departures[i];
            if departure.fingerprint.is_some() || !departure.is_about(case.rule, &finding) {
                continue;
            }
            match self.departure_fails(departure, case, &finding) {
                None => return (Under::Departure(i), finding),
                Some(why) => self.refuse(Under::Departure(i), &why, &mut finding),
            }
        }
        for i in 0..self.agreed.permissions.len() {
            let permission = &self.agreed.permissions[i];
            if !permission.is_about(case.rule, &finding) {
                continue;
            }
            let fails = permission
                .scope()
                .excludes(case.order)
                .or_else(|| ended(permission.until, self.agreed.today))
                .or_else(|| permission.bound_broken(&finding));
            match fails {
                None => return (Under::Permission(i), finding),
                Some(why) => self.refuse(Under::Permission(i), &why, &mut finding),
            }
        }
        (Under::Open, finding)
    }

    fn departure_fails(&self, departure: &Departure, case: &Case<'_>, finding: &Finding) -> Option<String> {
        let process = departure.capability.as_deref().filter(|c| *c != case.capability);
        departure
            .scope()
            .excludes(case.order)
            .or_else(|| ended(Some(departure.until), self.agreed.today))
            .or_else(|| process.map(|c| format!("it was accepted on capability profile {c}")))
            .or_else(|| departure.floor_broken(finding))
            .or_else(|| {
                let wanted = departure.surroundings.as_ref()?;
                ((case.surroundings)(finding).as_ref() != Some(wanted))
                    .then(|| "it was accepted for other surroundings".to_owned())
            })
    }

    /// Whether a departure made for one query by its fingerprint covers it; else why not.
    pub(crate) fn covers_query(&mut self, case: &Case<'_>, fingerprint: &str, finding: &Finding) -> Option<Under> {
        let i = self.agreed.departures.iter().position(|d| d.fingerprint.as_deref() == Some(fingerprint))?;
        let departure = &self.agreed.departures[i];
        if !departure.is_about(case.rule, finding) {
            return None;
        }
        match self.departure_fails(departure, case, finding) {
            None => Some(Under::Departure(i)),
            Some(why) => {
                self.refuse(Under::Departure(i), &why, &mut finding.clone());
                None
            }
        }
    }

    fn refuse(&mut self, under: Under, why: &str, finding: &mut Finding) {
        finding.reasons.push(format!("{} does not settle this: {why}.", self.agreed.name(under)));
        if let Some(used) = self.uses.iter_mut().find(|u| u.under == under)
            && !used.not.iter().any(|n| n == why)
            && used.not.len() < 5
        {
            used.not.push(why.to_owned());
        }
    }

    /// Counts what is settled; a permission that would settle more places than it allows settles none.
    fn count(&mut self, sorted: &mut [(Under, Finding)]) {
        for used in &mut self.uses {
            let places = sorted.iter().filter(|(u, _)| *u == used.under).map(|(_, f)| f.places.len().max(1) as u64);
            let places: u64 = places.sum();
            let most = match used.under {
                Under::Permission(i) => self.agreed.permissions[i].most_places.map(u64::from),
                _ => None,
            };
            match most.filter(|m| places > *m) {
                None => used.places += places,
                Some(most) => {
                    let why = format!("it covers {most} places at most, and here are {places}");
                    let name = self.agreed.name(used.under);
                    for (under, finding) in sorted.iter_mut().filter(|(u, _)| *u == used.under) {
                        finding.reasons.push(format!("{name} does not settle this: {why}."));
                        *under = Under::Open;
                    }
                    used.not.push(why);
                }
            }
        }
    }

    /// Notes that a whole query was covered.
    pub(crate) fn note(&mut self, under: Under, places: usize) {
        if let Some(used) = self.uses.iter_mut().find(|u| u.under == under) {
            used.places += places.max(1) as u64;
        }
    }
}

impl Agreed {
    /// An agreement in words: "Standing permission P1".
    #[must_use]
    pub fn name(&self, under: Under) -> String {
        match under {
            Under::Open => String::new(),
            Under::Permission(i) => format!("Standing permission {}", self.permissions[i].id),
            Under::Departure(i) => format!("Accepted departure {}", self.departures[i].id),
        }
    }
}

fn ended(until: Option<Day>, today: Option<Day>) -> Option<String> {
    let (until, today) = (until?, today?);
    (today > until).then(|| format!("it ended on {until}"))
}

fn refuse_rule(file: &str, text: &str, rule: &str) -> Result<(), FileError> {
    let what = if NETLIST_RULES.contains(&rule) {
        format!("differences from a netlist are asked every time; nothing can be agreed about {rule}")
    } else if registry().iter().any(|r| r.name == rule) {
        return Ok(());
    } else {
        format!("there is no rule {rule:?}; `landgap wording` lists the rules")
    };
    Err(fault_at(file, text, rule, "rule", &what))
}

fn check_id<'a>(file: &str, text: &str, id: &str, mut earlier: impl Iterator<Item = &'a str>) -> Result<(), FileError> {
    if id.trim().is_empty() || earlier.any(|e| e == id) {
        let what = format!("id {id:?} is empty or was given before; give each agreement its own");
        return Err(fault_at(file, text, id, "id", &what));
    }
    Ok(())
}

/// A fault at the line that holds `value` in quotes.
fn fault_at(file: &str, text: &str, value: &str, key: &str, what: &str) -> FileError {
    let quoted = format!("\"{value}\"");
    let line = (1u32..).zip(text.lines()).filter(|(_, l)| l.contains(&quoted)).map(|(n, _)| n).last().unwrap_or(1);
    FileError { file: file.to_owned(), line, column: 1, key: key.to_owned(), text: format!("{what}.") }
}
