//! How much data is taken in, and the meter that is asked before every copy.

use crate::fault::{Fault, Kind, Outcome};

/// Bounds on one data set.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes as sent.
    pub packed: u64,
    /// Bytes of all files unpacked.
    pub unpacked: u64,
    /// Bytes of one file.
    pub file: u64,
    /// Files, folders and archive entries.
    pub entries: u64,
    /// How many times larger an archive entry may be than its packed form.
    pub ratio: u64,
    /// Archives inside archives: 1 takes a zip in a zip.
    pub depth: u32,
    /// Folders inside folders.
    pub folders: u32,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            packed: 256 << 20,
            unpacked: 768 << 20,
            file: 256 << 20,
            entries: 4096,
            ratio: 400,
            depth: 1,
            folders: 16,
        }
    }
}

/// Below this size the ratio says nothing: a short run of equal bytes packs to almost none.
const RATIO_FROM: u64 = 1 << 20;

/// Counts what has been taken in.
#[derive(Debug)]
pub struct Meter {
    limits: Limits,
    unpacked: u64,
    entries: u64,
}

impl Meter {
    /// A meter at zero.
    #[must_use]
    pub const fn new(limits: Limits) -> Self {
        Self { limits, unpacked: 0, entries: 0 }
    }

    /// The limits it holds to.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// One more entry.
    pub fn entry(&mut self, name: &str) -> Outcome<()> {
        self.entries += 1;
        if self.entries <= self.limits.entries {
            return Ok(());
        }
        Err(too_large(name, format!("holds more than {} entries", self.limits.entries)))
    }

    /// `more` bytes of a file of which `before` are already copied.
    pub fn bytes(&mut self, name: &str, before: u64, more: u64) -> Outcome<()> {
        self.unpacked += more;
        if before + more > self.limits.file {
            return Err(too_large(name, format!("is larger than {} for one file", megabytes(self.limits.file))));
        }
        if self.unpacked > self.limits.unpacked {
            return Err(too_large(name, format!("brings the set above {} unpacked", megabytes(self.limits.unpacked))));
        }
        Ok(())
    }

    /// An entry of `packed` bytes that says it unpacks to, or has unpacked to, `unpacked`.
    pub fn ratio(&self, name: &str, packed: u64, unpacked: u64) -> Outcome<()> {
        if unpacked < RATIO_FROM || unpacked / packed.max(1) <= self.limits.ratio {
            return Ok(());
        }
        Err(too_large(name, format!("unpacks to more than {} times its packed size", self.limits.ratio)))
    }
}

fn too_large(name: &str, what: String) -> Fault {
    Fault::new(Kind::TooLarge, format!("{name} {what}; nothing was kept."))
}

/// Whole mebibytes, for people.
#[must_use]
pub fn megabytes(bytes: u64) -> String {
    format!("{} MiB", bytes >> 20)
}
