//! The job file: what it says of each file, and how many copper layers there are.

use std::collections::BTreeMap;

use super::guess::Guess;
use super::roles;
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
}

/// Reads a job file; `None` where it is not JSON of the expected shape.
pub(super) fn read(bytes: &[u8], file: usize) -> Option<Job> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let value: serde_json::Value = serde_json::from_slice(bytes).ok()?;
    let layers = value.pointer("/GeneralSpecs/LayerNumber").and_then(serde_json::Value::as_u64);
    let mut job = Job { file, layers: layers.and_then(|n| u32::try_from(n).ok()), ..Job::default() };
    job.layers = job.layers.filter(|n| (1..=super::MOST_LAYERS).contains(n));
    for entry in value.get("FilesAttributes").and_then(serde_json::Value::as_array).into_iter().flatten() {
        let text = |key: &str| entry.get(key).and_then(serde_json::Value::as_str);
        let (Some(path), Some(function)) = (text("Path"), text("FileFunction")) else { continue };
        job.listed.push(path.to_owned());
        let fields: Vec<String> = function.split(',').map(str::to_owned).collect();
        if let Some(mut guess) = roles::of_function(&fields, KnownBy::Job) {
            guess.confidence = 97;
            guess.evidence = format!("the job file lists it as \"{function}\"");
            job.roles.insert(super::names::base(path).to_lowercase(), guess);
        }
    }
    Some(job)
}
