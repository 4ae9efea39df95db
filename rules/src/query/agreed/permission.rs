//! Standing permissions: what the shop may do unasked, and within what bounds.

use landgap_parser::Nm;
use serde::Deserialize;

use super::scope::{On, Scope};
use super::{Day, refuse_rule};
use crate::capability::{FileError, optional_micrometres};
use crate::query::{Severity, words};
use crate::rule::finding::Finding;

/// One permission.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permission {
    /// Its name in the change log.
    pub id: String,
    /// The rule whose queries it settles.
    pub rule: String,
    /// Case of the fault, as the rule's page names it; every case where it is left out.
    #[serde(default)]
    pub case: Option<String>,
    /// Kind of layer; every kind where it is left out.
    #[serde(default, rename = "layers")]
    pub on: Option<On>,
    /// What the shop does.
    #[serde(rename = "do")]
    pub does: String,
    /// The smallest value it covers.
    #[serde(default, rename = "least_um", deserialize_with = "optional_micrometres")]
    pub least: Option<Nm>,
    /// The largest change it covers: how far below its limit a value may lie.
    #[serde(default, rename = "most_change_um", deserialize_with = "optional_micrometres")]
    pub most_change: Option<Nm>,
    /// How many places of one board it covers at most.
    #[serde(default)]
    pub most_places: Option<u32>,
    /// Whose boards it holds for.
    #[serde(default)]
    customer: Option<String>,
    #[serde(default)]
    part: Option<String>,
    #[serde(default)]
    revision: Option<String>,
    /// Who gave it.
    pub given_by: String,
    /// When.
    #[serde(rename = "given_on")]
    pub on_day: Day,
    /// The last day it holds; without end where it is left out.
    #[serde(default)]
    pub until: Option<Day>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    permission: Vec<Permission>,
}

/// Reads a file of permissions.
///
/// # Errors
/// Says file, line, key and what was expected.
pub fn parse(file: &str, text: &str) -> Result<Vec<Permission>, FileError> {
    let read: File = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
    for (index, permission) in read.permission.iter().enumerate() {
        let earlier = || read.permission[..index].iter().map(|p| p.id.as_str());
        super::check_id(file, text, &permission.id, earlier())?;
        refuse_rule(file, text, &permission.rule)?;
        if permission.least.is_none() && permission.most_change.is_none() && permission.most_places.is_none() {
            let what = format!(
                "permission {} has no bound; give at least one of least_um, most_change_um and most_places",
                permission.id
            );
            return Err(super::fault_at(file, text, &permission.id, "permission", &what));
        }
    }
    Ok(read.permission)
}

impl Permission {
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

    /// Why a finding lies beyond its bounds; `None` where it lies within.
    pub(super) fn bound_broken(&self, finding: &Finding) -> Option<String> {
        if finding.severity == Severity::Stop {
            return Some("what cannot be made is never settled by a permission".to_owned());
        }
        let value = finding.worst();
        if let Some(least) = self.least
            && value.is_none_or(|v| v < least)
        {
            let found = value.map_or_else(|| "no value".to_owned(), words::length);
            return Some(format!("it covers down to {}, and here is {found}", words::length(least)));
        }
        let change = value.zip(finding.required()).map(|(v, r)| r - v);
        if let Some(most) = self.most_change
            && change.is_none_or(|c| c > most)
        {
            let found = change.map_or_else(|| "no value".to_owned(), words::length);
            return Some(format!("it covers changes up to {}, and here {found} is missing", words::length(most)));
        }
        None
    }
}
