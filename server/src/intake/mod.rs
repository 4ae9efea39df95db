//! Takes data in: a folder, an archive, or a list of files, into memory and safely.

pub mod answers;
pub mod archive;
pub mod collect;
pub mod database;
pub mod folder;
pub mod gauge;
pub mod limits;
pub mod name;
pub mod refused;
pub mod tarball;
pub mod told;
pub mod zipped;

use std::path::PathBuf;

use landgap_parser::kind::{Kind as FileKind, detect, telling};
use landgap_rules::check::InputFile;
use sha2::{Digest, Sha256};

pub use limits::Limits;

use crate::fault::{Fault, Kind, Outcome};
use collect::Collector;
use refused::Refused;

/// A whole set of files with its identity.
#[derive(Clone, Debug)]
pub struct DataSet {
    /// `sha256:` and 64 hexadecimal digits, over the sorted paths and the hashes of their files.
    pub id: String,
    /// The files in order of path.
    pub files: Vec<InputFile>,
    /// SHA-256 of each file, in the same order.
    pub hashes: Vec<String>,
    /// Entries that were not taken in, in order of path.
    pub refused: Vec<Refused>,
}

/// Takes in folders, archives and files named on the command line.
pub fn from_paths(paths: &[PathBuf], limits: Limits) -> Outcome<DataSet> {
    let mut collector = Collector::new(limits);
    let several = paths.len() > 1;
    for path in paths {
        let taken = folder::take_path(&mut collector, path, several);
        taken.map_err(|fault| naming(&path.display().to_string(), fault))?;
    }
    finish(collector).map_err(|fault| match paths {
        [only] => naming(&only.display().to_string(), fault),
        _ => fault,
    })
}

/// Takes in files that were sent, each with the name it was sent under; `refused` are entries that
/// the sender's own program has left out already.
pub fn from_sent(parts: &[(String, PathBuf)], refused: Vec<Refused>, limits: Limits) -> Outcome<DataSet> {
    let mut collector = Collector::new(limits);
    for (sent_as, path) in parts {
        let shown = name::shown(sent_as.as_bytes());
        if !name::is_litter(&shown) {
            folder::take_sent(&mut collector, path, &shown).map_err(|fault| naming(&shown, fault))?;
        }
    }
    for entry in refused {
        collector.meter.entry()?;
        collector.refuse_or_stop(entry)?;
    }
    finish(collector).map_err(|fault| match parts {
        [(only, _)] => naming(&name::shown(only.as_bytes()), fault),
        _ => fault,
    })
}

/// The fault with the name of what was sent in front, where it does not name it yet.
fn naming(shown: &str, fault: Fault) -> Fault {
    if fault.detail.contains(name::base(shown)) {
        return fault;
    }
    Fault { detail: format!("{shown}: {}", fault.detail), ..fault }
}

fn finish(collector: Collector) -> Outcome<DataSet> {
    let (files, refused) = collector.finish();
    let set = DataSet::with_refused(files, refused);
    set.expect_something_to_read()?;
    Ok(set)
}

impl DataSet {
    /// The set of some files.
    #[must_use]
    pub fn of(files: Vec<InputFile>) -> Self {
        Self::with_refused(files, Vec::new())
    }

    /// The set of some files and of entries that were left out. Its identity covers both.
    #[must_use]
    pub fn with_refused(mut files: Vec<InputFile>, mut refused: Vec<Refused>) -> Self {
        files.sort_by(|a, b| a.path.cmp(&b.path));
        refused.sort();
        let hashes: Vec<String> = files.iter().map(|f| sha256(&f.bytes)).collect();
        let mut whole = Sha256::new();
        for (file, hash) in files.iter().zip(&hashes) {
            whole.update(file.path.as_bytes());
            whole.update([0]);
            whole.update(hash.as_bytes());
            whole.update(b"\n");
        }
        for entry in &refused {
            for part in [&entry.path, &entry.code, &entry.why] {
                whole.update(part.as_bytes());
                whole.update([0]);
            }
            whole.update(b"\n");
        }
        Self { id: format!("sha256:{}", hex(&whole.finalize())), files, hashes, refused }
    }

    fn expect_something_to_read(&self) -> Outcome<()> {
        let readable = |f: &InputFile| matches!(detect(&f.bytes), FileKind::Artwork | FileKind::Drill);
        if self.files.iter().any(readable) {
            return Ok(());
        }
        let mut seen: Vec<String> = self.files.iter().take(12).map(describe).collect();
        if self.files.len() > seen.len() {
            seen.push(format!("and {} more", self.files.len() - seen.len()));
        }
        if let Some(fault) = refused::fault(&self.refused, seen.clone()) {
            return Err(fault);
        }
        if self.files.is_empty() {
            return Err(Fault::new(Kind::EmptyData, "No file was found in what was sent."));
        }
        Err(Fault::new(Kind::NothingReadable, format!("{}.", seen.join("; "))))
    }
}

fn describe(file: &InputFile) -> String {
    format!("{} {}", file.path, telling(&file.bytes))
}

/// SHA-256 of some bytes in hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}
