//! Takes data in: a folder, a zip, or a list of files, into memory and safely.

pub mod archive;
pub mod collect;
pub mod folder;
pub mod limits;
pub mod name;
pub mod told;

use std::path::PathBuf;

use landgap_parser::kind::{Kind as FileKind, detect};
use landgap_rules::check::InputFile;
use sha2::{Digest, Sha256};

pub use limits::Limits;

use crate::fault::{Fault, Kind, Outcome};
use collect::Collector;

/// A whole set of files with its identity.
#[derive(Clone, Debug)]
pub struct DataSet {
    /// `sha256:` and 64 hexadecimal digits, over the sorted paths and the hashes of their files.
    pub id: String,
    /// The files in order of path.
    pub files: Vec<InputFile>,
    /// SHA-256 of each file, in the same order.
    pub hashes: Vec<String>,
}

/// Takes in folders, zips and files named on the command line.
pub fn from_paths(paths: &[PathBuf], limits: Limits) -> Outcome<DataSet> {
    let mut collector = Collector::new(limits);
    let several = paths.len() > 1;
    for path in paths {
        folder::take_path(&mut collector, path, several)?;
    }
    finish(collector)
}

/// Takes in files that were sent, each with the name it was sent under.
pub fn from_sent(parts: &[(String, PathBuf)], limits: Limits) -> Outcome<DataSet> {
    let mut collector = Collector::new(limits);
    for (sent_as, path) in parts {
        let shown = name::shown(sent_as.as_bytes());
        if name::is_litter(&shown) {
            continue;
        }
        collector.meter.entry(&shown)?;
        folder::take_file(&mut collector, path, &shown, &shown)?;
    }
    finish(collector)
}

fn finish(collector: Collector) -> Outcome<DataSet> {
    let set = DataSet::of(collector.finish());
    set.expect_something_to_read()?;
    Ok(set)
}

impl DataSet {
    /// The set of some files.
    #[must_use]
    pub fn of(mut files: Vec<InputFile>) -> Self {
        files.sort_by(|a, b| a.path.cmp(&b.path));
        let hashes: Vec<String> = files.iter().map(|f| sha256(&f.bytes)).collect();
        let mut whole = Sha256::new();
        for (file, hash) in files.iter().zip(&hashes) {
            whole.update(file.path.as_bytes());
            whole.update([0]);
            whole.update(hash.as_bytes());
            whole.update(b"\n");
        }
        Self { id: format!("sha256:{}", hex(&whole.finalize())), files, hashes }
    }

    fn expect_something_to_read(&self) -> Outcome<()> {
        if self.files.is_empty() {
            return Err(Fault::new(Kind::EmptyData, "No file was found in what was sent."));
        }
        let readable = |f: &InputFile| matches!(detect(&f.bytes), FileKind::Artwork | FileKind::Drill);
        if self.files.iter().any(readable) {
            return Ok(());
        }
        let mut seen: Vec<String> = self.files.iter().take(12).map(describe).collect();
        if self.files.len() > seen.len() {
            seen.push(format!("and {} more", self.files.len() - seen.len()));
        }
        Err(Fault::new(Kind::NothingReadable, format!("{}.", seen.join("; "))))
    }
}

fn describe(file: &InputFile) -> String {
    let what = match detect(&file.bytes) {
        FileKind::Empty => "is empty (no bytes but white space)",
        FileKind::Netlist => "is a netlist",
        FileKind::Job => "is a job file",
        FileKind::Drawing => "is a picture or document for people",
        FileKind::Artwork | FileKind::Drill => "can be read",
        FileKind::Other => "holds neither Gerber commands nor drill commands",
    };
    format!("{} {what}", file.path)
}

/// SHA-256 of some bytes in hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}
