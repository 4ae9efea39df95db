//! What host and guest say: one JSON text a line, tasks one way, answers the other.

use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use crate::fault::Problem;
use crate::job::Progress;
use crate::store::Manifest;
use crate::store::checks::PackedPart;

/// A check to be done.
#[derive(Debug, Serialize, Deserialize)]
pub struct Task {
    /// The set's files, one after another.
    pub set: PathBuf,
    /// Where each begins, and what the set is.
    pub manifest: Manifest,
    /// The request as sent.
    pub asked: String,
    /// Where the parts are to be written, one after another.
    pub out: PathBuf,
}

/// What the guest says.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// How far it is.
    Progress(Progress),
    /// The parts are written.
    Done(Vec<PackedPart>),
    /// It could not be done.
    Fault(Problem),
}
