//! The work of one check, done in a process apart, and what stands beside it.

use landgap_rules::check::Measured;
use landgap_rules::query::life::{Found, Text, Weight};
use serde::{Deserialize, Serialize};

use super::request::{OrderChoice, Settled};
use crate::engine::{self, Watch};
use crate::fault::{Fault, Outcome};
use crate::figures;
use crate::form;
use crate::intake::DataSet;
use crate::intake::told::{self, Sayings};

/// A set and what was measured on it.
#[derive(Debug)]
pub struct Known {
    /// The set.
    pub set: DataSet,
    /// Its facts and geometry.
    pub measured: Measured,
}

/// What stands beside a finished check's report.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Record {
    /// The data set.
    pub data_set: String,
    /// The profile's name.
    pub capability: String,
    /// The order as sent.
    pub order: Option<OrderChoice>,
    /// What files are.
    pub told: Sayings,
}

/// Reads, places and measures a set.
pub fn measured(set: DataSet, asked: &Settled, watch: Watch<'_>) -> Outcome<Known> {
    let told = told::understand(&asked.told, &set.files)?;
    let measured = engine::measure(&set, &told, &asked.limits, watch)?;
    Ok(Known { set, measured })
}

/// Judges, draws and writes: every part of the outcome by its name.
pub fn parts(known: &Known, asked: &Settled, watch: Watch<'_>) -> Outcome<Vec<(String, Vec<u8>)>> {
    watch(landgap_rules::check::Stage::Ask).map_err(|kind| Fault::new(kind, "It was left before judging."))?;
    let judged = engine::judge(&known.set, &known.measured, &asked.capability, &asked.order, &asked.terms)?;
    let figures = figures::draw(&known.measured, &asked.capability, &judged)?;
    let form = engine::guarded("writing the form", || form::html(&judged.report, &figures))?;
    let mut parts = vec![
        ("report.json".to_owned(), crate::print::json::print(std::slice::from_ref(&judged.report), &[])?.into_bytes()),
        ("form.html".to_owned(), form.into_bytes()),
        (FOUND.to_owned(), crate::print::json::pretty(&found(&judged))?.into_bytes()),
    ];
    for (face, picture) in crate::figure::Face::BOTH.iter().zip(&figures.boards) {
        parts.push((format!("board-{}.svg", face.word()), picture.clone().into_bytes()));
    }
    for (number, figure) in &figures.details {
        parts.push((format!("figure-{number}.svg"), figure.clone().into_bytes()));
    }
    Ok(parts)
}

/// Name of the part that holds what a form's lines begin with.
pub const FOUND: &str = "lines.json";

/// What a line of a form begins with.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct FoundLine {
    rule: String,
    severity: Weight,
    fingerprint: String,
    text: Text,
}

impl From<FoundLine> for Found {
    fn from(line: FoundLine) -> Self {
        Self { rule: line.rule, severity: line.severity, fingerprint: line.fingerprint, text: line.text }
    }
}

fn found(judged: &engine::Judged) -> Vec<FoundLine> {
    let line = |query| {
        let Found { rule, severity, fingerprint, text } = Found::of(query);
        FoundLine { rule, severity, fingerprint, text }
    };
    judged.verdict.queries.iter().map(line).collect()
}

/// The record of what was asked.
#[must_use]
pub fn record(asked: &Settled) -> Record {
    Record {
        data_set: asked.data_set.clone(),
        capability: asked.capability.name.clone(),
        order: asked.order_sent.clone(),
        told: asked.told.clone(),
    }
}
