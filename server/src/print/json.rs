//! Reports as JSON.

use landgap_rules::capability::Capability;
use serde::{Deserialize, Serialize};

use super::matrix;

use crate::fault::{Fault, Kind, Outcome};
use crate::wire::Report;
use crate::wire::report::{CapabilityName, Verdict};

/// The report against the first profile, with what the other profiles come to.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct WithMatrix {
    /// The report against the first profile.
    #[serde(flatten)]
    pub report: Report,
    /// One row a profile, in the order given.
    pub matrix: Vec<MatrixRow>,
    /// The least demanding profile that leaves nothing to answer; null where none does or they cannot be ranked.
    pub least_demanding: Option<String>,
}

/// What one profile comes to.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct MatrixRow {
    /// The profile.
    pub capability: Option<CapabilityName>,
    /// Its counts.
    pub verdict: Verdict,
    /// Its queries, without their places.
    pub queries: Vec<MatrixQuery>,
}

/// One query in a row of the matrix.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct MatrixQuery {
    /// The rule.
    pub rule: String,
    /// How much it weighs.
    pub severity: String,
    /// Number of places.
    pub count: u32,
    /// Stable across re-exports.
    pub fingerprint: String,
}

fn row(report: &Report) -> MatrixRow {
    let query = |q: &crate::wire::report::Query| MatrixQuery {
        rule: q.rule.clone(),
        severity: q.severity.clone(),
        count: q.count,
        fingerprint: q.fingerprint.clone(),
    };
    MatrixRow {
        capability: report.capability.clone(),
        verdict: report.verdict,
        queries: report.queries.iter().map(query).collect(),
    }
}

/// One report as it is, several as the first with a `matrix`.
pub fn print(reports: &[Report], capabilities: &[Capability]) -> Outcome<String> {
    let text = match reports {
        [one] => pretty(one)?,
        [first, ..] => pretty(&WithMatrix {
            report: first.clone(),
            matrix: reports.iter().map(row).collect(),
            least_demanding: matrix::least(reports, capabilities).map(str::to_owned),
        })?,
        [] => String::new(),
    };
    Ok(text + "\n")
}

/// Any value as indented JSON.
pub fn pretty(value: &impl Serialize) -> Outcome<String> {
    serde_json::to_string_pretty(value).map_err(|e| Fault::new(Kind::CouldNotBeChecked, format!("writing JSON: {e}.")))
}
