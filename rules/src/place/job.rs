//! The job file: what it says of each file, and how many copper layers there are.

use std::collections::BTreeMap;

use landgap_parser::kind::Kind;
use landgap_parser::{Limits, job};

use super::guess::Guess;
use super::load::Loaded;
use super::{names, roles};
use crate::board::KnownBy;

/// What a job file says.
#[derive(Debug, Default)]
pub(super) struct Job {
    /// Index of the job file itself.
    pub file: usize,
    /// Copper layers of the board.
    pub layers: Option<u32>,
    /// Readings by file name (without folder, lower case).
    pub roles: BTreeMap<String, Guess>,
    /// File names as written, in order.
    pub listed: Vec<String>,
    /// All it says, and what was noticed.
    pub data: job::Job,
}

/// Reads every job file of the set, those of the older text form included.
pub(super) fn all(loaded: &[Loaded<'_>], limits: &Limits) -> Vec<Job> {
    let board = |l: &Loaded<'_>| matches!(l.kind, Kind::Artwork | Kind::Drill | Kind::Netlist);
    let named = |l: &Loaded<'_>| names::parts(&l.file.path).1 == "gbrjob" && !board(l);
    let files = loaded.iter().enumerate().filter(|(_, l)| l.kind == Kind::Job || named(l));
    files.map(|(i, l)| read(&l.file.bytes, i, limits)).collect()
}

/// The job file that counts: the first that says anything of the set.
pub(super) fn first(jobs: &[Job]) -> Option<&Job> {
    jobs.iter().find(|j| !j.listed.is_empty() || j.layers.is_some())
}

fn read(bytes: &[u8], file: usize, limits: &Limits) -> Job {
    let data = job::read(bytes, limits)
        .unwrap_or_else(|limit| job::Job { remarks: vec![limit.remark()], ..job::Job::default() });
    let layers = data.specifications.layers.map(|n| n.value).filter(|n| *n <= super::MOST_LAYERS);
    let mut job = Job { file, layers, ..Job::default() };
    for listed in &data.files {
        job.listed.push(listed.path.clone());
        if let Some(mut guess) = roles::of_function(&listed.fields, KnownBy::Job) {
            guess.confidence = 97;
            guess.evidence = format!("the job file lists it as \"{}\"", listed.function.value);
            job.roles.insert(names::base(&listed.path).to_lowercase(), guess);
        }
    }
    job.data = data;
    job
}
