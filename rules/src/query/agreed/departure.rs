//! Accepted departures: what the customer has accepted before, down to which value, and until when.

use landgap_parser::Nm;
use serde::Deserialize;

use super::scope::{On, Scope};
use super::{Day, refuse_rule};
use crate::capability::{FileError, optional_micrometres};
use crate::query::{Severity, words};
use crate::rule::finding::Finding;

/// One departure.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Departure {
    /// Its name on the form.
    pub id: String,
    /// The rule whose queries it answers.
    pub rule: String,
    /// Case of the fault, as the rule's page names it; every case where it is left out.
    #[serde(default)]
    pub case: Option<String>,
    /// Kind of layer; every kind where it is left out.
    #[serde(default, rename = "layers")]
    pub on: Option<On>,
    /// The smallest value that was accepted.
    #[serde(default, rename = "floor_um", deserialize_with = "optional_micrometres")]
    pub floor: Option<Nm>,
    /// The surroundings it was accepted for, as a report names them; any where it is left out.
    #[serde(default)]
    pub surroundings: Option<String>,
    /// The very query it answers, by its fingerprint; any of the rule where it is left out.
    #[serde(default)]
    pub fingerprint: Option<String>,
    /// The capability profile it was accepted on; any where it is left out.
    #[serde(default)]
    pub capability: Option<String>,
    #[serde(default)]
    customer: Option<String>,
    #[serde(default)]
    part: Option<String>,
    #[serde(default)]
    revision: Option<String>,
    /// What was accepted, in words.
    pub answer: String,
    /// The picture it was accepted on: a file name, an address or a hash.
    pub picture: String,
    /// Who accepted it.
    pub accepted_by: String,
    /// When.
    #[serde(rename = "accepted_on")]
    pub on_day: Day,
    /// The last day it holds.
    pub until: Day,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    departure: Vec<Departure>,
}

/// Reads a file of accepted departures.
///
/// # Errors
/// Says file, line, key and what was expected.
pub fn parse(file: &str, text: &str) -> Result<Vec<Departure>, FileError> {
    let read: File = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
    for (index, departure) in read.departure.iter().enumerate() {
        let earlier = || read.departure[..index].iter().map(|d| d.id.as_str());
        super::check_id(file, text, &departure.id, earlier())?;
        refuse_rule(file, text, &departure.rule)?;
        let fault = departure.fault();
        if let Some(what) = fault {
            let what = format!("departure {} {what}", departure.id);
            return Err(super::fault_at(file, text, &departure.id, "departure", &what));
        }
    }
    Ok(read.departure)
}

impl Departure {
    fn fault(&self) -> Option<&'static str> {
        if self.customer.is_none() && self.part.is_none() {
            Some("names neither customer nor part; say at least one of them")
        } else if self.revision.is_some() && self.part.is_none() {
            Some("names a revision without its part")
        } else if self.floor.is_none() && self.fingerprint.is_none() {
            Some("has neither floor_um nor fingerprint; a departure accepts a value or one query, never a whole rule")
        } else if self.until < self.on_day {
            Some("ends before it begins")
        } else {
            None
        }
    }

    /// Whose boards it holds for.
    #[must_use]
    pub fn scope(&self) -> Scope {
        Scope { customer: self.customer.clone(), part: self.part.clone(), revision: self.revision.clone() }
    }

    pub(super) fn is_about(&self, rule: &str, finding: &Finding) -> bool {
        self.rule == rule
            && self.case.as_deref().is_none_or(|c| c == finding.case)
            && self.on.is_none_or(|on| on.is(finding.role))
    }

    /// Why a finding is not what was accepted; `None` where it is.
    pub(super) fn floor_broken(&self, finding: &Finding) -> Option<String> {
        if finding.severity == Severity::Stop {
            return Some("what cannot be made is never covered by an accepted departure".to_owned());
        }
        let floor = self.floor?;
        let worst = finding.places.iter().filter_map(|p| Some((p.measured?, p.uncertainty.unwrap_or(0)))).min();
        match worst {
            Some((value, uncertainty)) if value.saturating_add(uncertainty) >= floor => None,
            Some((value, _)) => Some(format!(
                "it accepts {} and more, and here is {}",
                words::length(floor),
                words::length_below(value, floor)
            )),
            None => Some("it accepts a value, and here is none".to_owned()),
        }
    }
}
