//! Gathers the files of a set, whatever they come packed in.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use landgap_parser::kind::{Kind as FileKind, detect};
use landgap_rules::check::InputFile;

use super::archive::{self, Within};
use super::database;
use super::limits::{Limits, Meter};
use super::refused::Refused;
use crate::fault::{Fault, Kind, Outcome};

/// Files gathered so far, by shown path, and what was left out.
#[derive(Debug)]
pub struct Collector {
    /// Counts what is taken in.
    pub meter: Meter,
    files: BTreeMap<String, Vec<u8>>,
    refused: Vec<Refused>,
    /// A limit on the whole set was reached: nothing more is taken.
    full: bool,
}

impl Collector {
    /// Nothing gathered yet.
    #[must_use]
    pub const fn new(limits: Limits) -> Self {
        Self { meter: Meter::new(limits), files: BTreeMap::new(), refused: Vec::new(), full: false }
    }

    /// Copies a plain file to memory; `said` is the length it says it has. A length above a limit is
    /// refused before a byte is copied, and one that lies is refused where the limit is reached.
    pub fn copy(&mut self, source: &mut impl Read, said: Option<u64>) -> Outcome<Vec<u8>> {
        self.metered(source, said, |_, _| Ok(()))
    }

    /// Copies an archive's entry of `packed` bytes that says it unpacks to `said`.
    pub fn copy_packed(&mut self, source: &mut impl Read, packed: u64, said: u64) -> Outcome<Vec<u8>> {
        self.meter.ratio(packed, said)?;
        self.metered(source, Some(said), |meter, length| meter.ratio(packed, length))
    }

    fn metered(
        &mut self,
        source: &mut impl Read,
        said: Option<u64>,
        also: impl Fn(&Meter, u64) -> Outcome<()>,
    ) -> Outcome<Vec<u8>> {
        self.meter.file(said.unwrap_or(0))?;
        // Reserved only as far as the limits go; what is said too small grows as it comes.
        let mut bytes = Vec::with_capacity(usize::try_from(said.unwrap_or(0).min(self.meter.left())).unwrap_or(0));
        let mut piece = vec![0; 1 << 16];
        loop {
            match source.read(&mut piece) {
                Ok(0) => return Ok(bytes),
                Ok(n) => {
                    let length = bytes.len() as u64 + n as u64;
                    self.meter.file(length)?;
                    also(&self.meter, length)?;
                    self.meter.room(n as u64).inspect_err(|_| self.full = true)?;
                    bytes.extend_from_slice(&piece[..n]);
                }
                Err(e) if e.kind() == std::io::ErrorKind::Interrupted => {}
                Err(e) => return Err(Fault::new(Kind::BrokenArchive, format!("it cannot be read to its end: {e}"))),
            }
        }
    }

    /// Takes one file, unpacking it first where it is an archive. An error is a fault of the whole set;
    /// what is wrong with the file alone is noted.
    pub fn take(&mut self, path: &str, bytes: Vec<u8>, depth: u64) -> Outcome<()> {
        let Some(packing) = archive::packing(&bytes).filter(|_| detect(&bytes) != FileKind::Drawing) else {
            self.keep(path, bytes);
            return Ok(());
        };
        let prefix = format!("{path}/");
        let length = bytes.len() as u64;
        let at = Within { own: path, prefix: &prefix, depth };
        let done = archive::unpack(self, at, packing, Cursor::new(bytes), length);
        done.or_else(|fault| self.refuse_or_stop(Refused::new(path, fault)))
    }

    /// Keeps one file; a path that is taken already gets a number.
    pub fn keep(&mut self, path: &str, bytes: Vec<u8>) {
        let mut free = path.to_owned();
        let mut number = 2;
        while self.files.contains_key(&free) {
            free = format!("{path} ({number})");
            number += 1;
        }
        self.files.insert(free, bytes);
    }

    /// Notes an entry that is left out.
    pub fn refuse(&mut self, path: impl Into<String>, fault: Fault) {
        self.refused.push(Refused::new(path, fault));
    }

    /// Notes an entry that is left out, unless the set as a whole is above a limit.
    pub fn refuse_or_stop(&mut self, refused: Refused) -> Outcome<()> {
        if self.is_full() {
            return Err(Fault::new(refused.kind(), format!("{}.", refused.words())));
        }
        self.refused.push(refused);
        Ok(())
    }

    fn is_full(&self) -> bool {
        self.full || self.meter.is_over()
    }

    /// The files in order of path without the folder they all share, and what was left out.
    #[must_use]
    pub fn finish(mut self) -> (Vec<InputFile>, Vec<Refused>) {
        database::set_apart(&mut self.files, &mut self.refused);
        let shared = shared_folder(self.files.keys().map(String::as_str));
        let folder = self.files.keys().next().map_or_else(String::new, |first| first[..shared].to_owned());
        let strip = |path: &str| path.strip_prefix(&folder).unwrap_or(path).to_owned();
        let mut refused = self.refused;
        refused.iter_mut().for_each(|r| r.path = strip(&r.path));
        refused.sort();
        let files = self.files.into_iter().map(|(path, bytes)| InputFile { path: strip(&path), bytes });
        (files.collect(), refused)
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
        collector.take("a", b"1".to_vec(), 0).unwrap();
        collector.take("a", b"2".to_vec(), 0).unwrap();
        let paths: Vec<String> = collector.finish().0.into_iter().map(|f| f.path).collect();
        assert_eq!(paths, ["a", "a (2)"]);
    }
}
