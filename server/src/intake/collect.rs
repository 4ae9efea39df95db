//! Gathers the files of a set, whatever they come packed in.

use std::collections::BTreeMap;
use std::io::Read;

use landgap_rules::check::InputFile;

use super::archive::{self, Packing};
use super::limits::{Limits, Meter};
use crate::fault::{Fault, Kind, Outcome};

/// Files gathered so far, by shown path.
#[derive(Debug)]
pub struct Collector {
    /// Counts what is taken in.
    pub meter: Meter,
    files: BTreeMap<String, Vec<u8>>,
}

/// Why a copy stopped.
#[derive(Debug)]
pub enum CopyError {
    /// A limit.
    Limit(Fault),
    /// The source failed.
    Source(std::io::Error),
}

impl CopyError {
    /// The fault, with words for a failing source.
    pub fn or(self, words: impl FnOnce(String) -> Fault) -> Fault {
        match self {
            Self::Limit(fault) => fault,
            Self::Source(error) => words(error.to_string()),
        }
    }
}

impl Collector {
    /// Nothing gathered yet.
    #[must_use]
    pub const fn new(limits: Limits) -> Self {
        Self { meter: Meter::new(limits), files: BTreeMap::new() }
    }

    /// Copies a source to memory, asking the meter before keeping each piece.
    pub fn copy(&mut self, shown: &str, source: &mut impl Read) -> Result<Vec<u8>, CopyError> {
        let mut bytes = Vec::new();
        let mut piece = vec![0; 1 << 16];
        loop {
            match source.read(&mut piece) {
                Ok(0) => return Ok(bytes),
                Ok(n) => {
                    self.meter.bytes(shown, bytes.len() as u64, n as u64).map_err(CopyError::Limit)?;
                    bytes.extend_from_slice(&piece[..n]);
                }
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
                Err(e) => return Err(CopyError::Source(e)),
            }
        }
    }

    /// Takes one file, unpacking it first where it is an archive.
    pub fn take(&mut self, shown: &str, path: &str, bytes: Vec<u8>, depth: u32) -> Outcome<()> {
        match archive::packing(&bytes) {
            None => {
                self.keep(path, bytes);
                Ok(())
            }
            Some(Packing::Unread(kind)) => {
                Err(Fault::new(Kind::UnreadArchive, format!("{shown} is packed with {kind}.")))
            }
            Some(Packing::Zip) if depth > self.meter.limits().depth => Err(Fault::new(
                Kind::RefusedEntry,
                format!("{shown} is an archive inside an archive inside an archive."),
            )),
            Some(Packing::Zip) => {
                let prefix = if depth == 0 { String::new() } else { format!("{path}/") };
                archive::unpack(self, shown, &prefix, &bytes, depth + 1)
            }
        }
    }

    /// Keeps one file; a path that is taken already gets a number.
    fn keep(&mut self, path: &str, bytes: Vec<u8>) {
        let mut free = path.to_owned();
        let mut number = 2;
        while self.files.contains_key(&free) {
            free = format!("{path} ({number})");
            number += 1;
        }
        self.files.insert(free, bytes);
    }

    /// The files in order of path, without the folder they all share.
    #[must_use]
    pub fn finish(self) -> Vec<InputFile> {
        let shared = shared_folder(self.files.keys().map(String::as_str));
        let strip = |path: String| path[shared..].to_owned();
        self.files.into_iter().map(|(path, bytes)| InputFile { path: strip(path), bytes }).collect()
    }
}

/// Length of the folder part (with its `/`) that all paths begin with.
fn shared_folder<'a>(mut paths: impl Iterator<Item = &'a str>) -> usize {
    let Some(first) = paths.next() else { return 0 };
    let mut shared = &first[..first.rfind('/').map_or(0, |i| i + 1)];
    for path in paths {
        while !path.starts_with(shared) {
            shared = &shared[..shared[..shared.len() - 1].rfind('/').map_or(0, |i| i + 1)];
        }
    }
    shared.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shared_folder_goes() {
        assert_eq!(shared_folder(["a/b/x", "a/b/y"].into_iter()), 4);
        assert_eq!(shared_folder(["a/b/x", "a/c/y"].into_iter()), 2);
        assert_eq!(shared_folder(["ab/x", "ac/y"].into_iter()), 0);
        assert_eq!(shared_folder(["x"].into_iter()), 0);
    }

    #[test]
    fn equal_names_are_both_kept() {
        let mut collector = Collector::new(Limits::default());
        collector.take("a", "a", b"1".to_vec(), 0).unwrap();
        collector.take("a", "a", b"2".to_vec(), 0).unwrap();
        let paths: Vec<String> = collector.finish().into_iter().map(|f| f.path).collect();
        assert_eq!(paths, ["a", "a (2)"]);
    }
}
