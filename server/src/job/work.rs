//! The work of one check, and what is kept of it.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use landgap_rules::check::Measured;
use serde::{Deserialize, Serialize};

use super::request::{OrderChoice, Settled};
use super::store::Store;
use crate::engine::{self, Watch};
use crate::fault::{Fault, Kind, Outcome};
use crate::figures;
use crate::form;
use crate::intake::DataSet;
use crate::intake::told::{self, Sayings};
use crate::print::json::pretty;
use crate::wire::Report;

/// Measured boards kept in memory, so that judging again costs no measuring.
const KEPT: usize = 3;

/// A set and what was measured on it.
#[derive(Debug)]
pub struct Known {
    /// The set.
    pub set: DataSet,
    /// Its facts and geometry.
    pub measured: Measured,
}

/// What a measurement depends on, and its outcome.
type Kept = ((String, Sayings), Arc<Known>);

/// The measured boards in memory, newest last.
#[derive(Debug, Default)]
pub struct Memory {
    kept: Mutex<VecDeque<Kept>>,
}

impl Memory {
    fn get(&self, key: &(String, Sayings)) -> Option<Arc<Known>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().find(|(k, _)| k == key).map(|(_, known)| Arc::clone(known))
    }

    fn put(&self, key: (String, Sayings), known: Arc<Known>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|(k, _)| *k != key);
        kept.push_back((key, known));
        while kept.len() > KEPT {
            kept.pop_front();
        }
    }
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

/// The set measured, from memory where it is still there.
pub fn known(store: &Store, memory: &Memory, asked: &Settled, watch: Watch<'_>) -> Outcome<Arc<Known>> {
    let key = asked.measured_by();
    if let Some(known) = memory.get(&key) {
        return Ok(known);
    }
    let set = store.set(&asked.data_set)?;
    let told = told::understand(&asked.told, &set.files)?;
    let measured = engine::measure(&set, &told, &asked.limits, watch)?;
    let known = Arc::new(Known { set, measured });
    memory.put(key, Arc::clone(&known));
    Ok(known)
}

/// Measures, judges, draws, and keeps the outcome.
pub fn run(store: &Store, memory: &Memory, id: &str, asked: &Settled, watch: Watch<'_>) -> Outcome<Report> {
    let known = known(store, memory, asked, watch)?;
    watch(landgap_rules::check::Stage::Ask).map_err(|kind| Fault::new(kind, "It was left before judging."))?;
    let judged = engine::judge(&known.set, &known.measured, &asked.capability, &asked.order, &asked.terms)?;
    let figures = figures::draw(&known.measured, &asked.capability, &judged)?;
    let form = engine::guarded("writing the form", || form::html(&judged.report, &figures))?;
    let mut parts = vec![
        ("report.json".to_owned(), crate::print::json::print(std::slice::from_ref(&judged.report), &[])?.into_bytes()),
        ("form.html".to_owned(), form.into_bytes()),
        ("record.json".to_owned(), pretty(&record(asked))?.into_bytes()),
    ];
    for (face, picture) in crate::figure::Face::BOTH.iter().zip(&figures.boards) {
        parts.push((format!("board-{}.svg", face.word()), picture.clone().into_bytes()));
    }
    for (number, figure) in &figures.details {
        parts.push((format!("figure-{number}.svg"), figure.clone().into_bytes()));
    }
    store.keep_check(id, &parts)?;
    Ok(judged.report)
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

/// The record of a finished check.
pub fn read_record(store: &Store, id: &str) -> Outcome<Option<Record>> {
    let Some(text) = store.check_part(id, "record.json")? else { return Ok(None) };
    let record =
        serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("record of check {id}: {e}")))?;
    Ok(Some(record))
}
