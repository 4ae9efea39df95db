//! How much data is taken in, the table of all limits, and the meter that is asked before every copy.

use crate::fault::{Fault, Kind, Outcome};

/// Bounds on one data set and on the reading of its files.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Bytes as sent.
    pub packed: u64,
    /// Bytes of all files, unpacked.
    pub unpacked: u64,
    /// Files, folders and archive entries.
    pub entries: u64,
    /// How many times larger than its packed form an archive's entry may be.
    pub ratio: u64,
    /// Archives inside archives: 1 takes a zip in a zip.
    pub depth: u64,
    /// Folders inside folders on disk.
    pub folders: u64,
    /// Seconds a check may take at a service.
    pub seconds: u64,
    /// Bytes of memory a check may take at a service.
    pub memory: u64,
    /// Checks that wait at a service.
    pub waiting: u64,
    /// Seconds without a sign of life after which a worker counts as gone.
    pub lease: u64,
    /// Bounds on the reading of one file.
    pub reading: landgap_parser::Limits,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            packed: 128 << 20,
            unpacked: 192 << 20,
            entries: 4096,
            ratio: 400,
            depth: 1,
            folders: 32,
            seconds: 900,
            memory: 4 << 30,
            waiting: 5000,
            lease: 20,
            reading: landgap_parser::Limits::default(),
        }
    }
}

/// Below this size the ratio says nothing: a short run of equal bytes packs to almost none.
const RATIO_FROM: u64 = 1 << 20;

/// Counts what has been taken in.
#[derive(Debug)]
pub struct Meter {
    limits: Limits,
    packed: u64,
    unpacked: u64,
    entries: u64,
}

impl Meter {
    /// A meter at zero.
    #[must_use]
    pub const fn new(limits: Limits) -> Self {
        Self { limits, packed: 0, unpacked: 0, entries: 0 }
    }

    /// The limits it holds to.
    #[must_use]
    pub const fn limits(&self) -> &Limits {
        &self.limits
    }

    /// `more` bytes as sent. What lies above the limit is a fault of the whole set.
    pub fn sent(&mut self, more: u64) -> Outcome<()> {
        self.packed = self.packed.saturating_add(more);
        within("packed", self.limits.packed, self.packed)
    }

    /// One more entry. One too many is a fault of the whole set.
    pub fn entry(&mut self) -> Outcome<()> {
        self.entries += 1;
        self.could_hold(0)
    }

    /// An archive that holds `more` entries, before they are listed.
    pub fn could_hold(&self, more: u64) -> Outcome<()> {
        within("entries", self.limits.entries, self.entries.saturating_add(more))
    }

    /// Bytes there is still room for.
    #[must_use]
    pub const fn left(&self) -> u64 {
        self.limits.unpacked.saturating_sub(self.unpacked)
    }

    /// Whether a limit on the whole set has been passed.
    #[must_use]
    pub const fn is_over(&self) -> bool {
        let l = &self.limits;
        self.packed > l.packed || self.unpacked > l.unpacked || self.entries > l.entries
    }

    /// A file that says it has `length` bytes, or of which so many are copied.
    pub fn file(&self, length: u64) -> Outcome<()> {
        within("bytes", self.limits.reading.bytes, length)
    }

    /// Room for `more` bytes of a file. What lies above the limit is a fault of the whole set.
    pub fn room(&mut self, more: u64) -> Outcome<()> {
        self.unpacked = self.unpacked.saturating_add(more);
        within("unpacked", self.limits.unpacked, self.unpacked)
    }

    /// Something of `packed` bytes that says it unpacks to, or has unpacked to, `unpacked`.
    pub fn ratio(&self, packed: u64, unpacked: u64) -> Outcome<()> {
        if unpacked < RATIO_FROM {
            return Ok(());
        }
        within("ratio", self.limits.ratio, unpacked / packed.max(1))
    }

    /// An archive that lies in `depth` others.
    pub fn depth(&self, depth: u64) -> Outcome<()> {
        within("depth", self.limits.depth, depth)
    }

    /// A folder that lies in `depth` others.
    pub fn folder(&self, depth: u64) -> Outcome<()> {
        within("folders", self.limits.folders, depth)
    }
}

/// `Ok` while `reached` is within `allowed`, else the limit by name with both values.
pub fn within(limit: &'static str, allowed: u64, reached: u64) -> Outcome<()> {
    if reached <= allowed {
        return Ok(());
    }
    Err(Fault::new(
        Kind::TooLarge,
        format!(
            "the limit \"{limit}\" is {allowed}, and this asks for {reached} or more; \
             --limit {limit}=VALUE sets it higher"
        ),
    ))
}

/// One limit as users know it.
#[derive(Debug)]
pub struct Row {
    /// Its name.
    pub name: &'static str,
    /// What it guards.
    pub guards: &'static str,
    /// What the user sees when it is reached.
    pub shows: &'static str,
    /// Where it is kept.
    pub value: fn(&mut Limits) -> &mut u64,
}

const WHOLE: &str = "the set is refused: exit code 4, status 413";
const ENTRY: &str = "that entry is left out and asked about; exit code 4";
const UNCHECKED: &str = "the check ends as \"could not be checked\"";
const FILE: &str = "that file is not read and asked about; exit code 4";

/// Every limit.
pub const TABLE: &[Row] = &[
    Row {
        name: "packed",
        guards: "bytes as sent: files on disk or in the upload",
        shows: WHOLE,
        value: |l| &mut l.packed,
    },
    Row { name: "unpacked", guards: "bytes of all files, unpacked", shows: WHOLE, value: |l| &mut l.unpacked },
    Row { name: "entries", guards: "files, folders and archive entries", shows: WHOLE, value: |l| &mut l.entries },
    Row {
        name: "ratio",
        guards: "size of an archive's entry over its packed size, from 1 MiB on",
        shows: ENTRY,
        value: |l| &mut l.ratio,
    },
    Row { name: "depth", guards: "archives inside archives or folders", shows: ENTRY, value: |l| &mut l.depth },
    Row { name: "folders", guards: "folders inside folders on disk", shows: ENTRY, value: |l| &mut l.folders },
    Row { name: "bytes", guards: "bytes of one file", shows: ENTRY, value: |l| &mut l.reading.bytes },
    Row {
        name: "objects",
        guards: "objects of an image, apertures of a file, hits of a drill program, repeats and blocks unfolded",
        shows: FILE,
        value: |l| &mut l.reading.objects,
    },
    Row {
        name: "vertices",
        guards: "commands of a file, and corners of its contours, macro outlines and routed paths",
        shows: FILE,
        value: |l| &mut l.reading.vertices,
    },
    Row { name: "contour", guards: "corners of one contour", shows: FILE, value: |l| &mut l.reading.contour },
    Row {
        name: "contour_pairs",
        guards: "pairs of edges looked at where contours may meet themselves; less for one contour, by its corners",
        shows: FILE,
        value: |l| &mut l.reading.contour_pairs,
    },
    Row {
        name: "nesting",
        guards: "blocks in blocks, brackets in brackets",
        shows: FILE,
        value: |l| &mut l.reading.nesting,
    },
    Row {
        name: "macro_steps",
        guards: "words and operators of aperture macros worked out",
        shows: FILE,
        value: |l| &mut l.reading.macro_steps,
    },
    Row {
        name: "hits",
        guards: "holes, slots and paths, repeats unfolded",
        shows: FILE,
        value: |l| &mut l.reading.hits,
    },
    Row { name: "records", guards: "records of a netlist", shows: FILE, value: |l| &mut l.reading.records },
    Row { name: "seconds", guards: "time of a check at a service", shows: UNCHECKED, value: |l| &mut l.seconds },
    Row {
        name: "memory",
        guards: "bytes of memory of a check at a service",
        shows: UNCHECKED,
        value: |l| &mut l.memory,
    },
    Row {
        name: "waiting",
        guards: "checks that wait at a service",
        shows: "the check is not taken: status 429",
        value: |l| &mut l.waiting,
    },
    Row {
        name: "lease",
        guards: "seconds without a sign of life from a worker",
        shows: "another worker takes its check over",
        value: |l| &mut l.lease,
    },
];

impl Limits {
    /// Sets one limit from `NAME=VALUE`; `KiB`, `MiB` and `GiB` may stand behind the number.
    pub fn set(&mut self, text: &str) -> Result<(), String> {
        let (name, value) =
            text.split_once('=').ok_or_else(|| format!("--limit {text}: expected NAME=VALUE, such as ratio=1000"))?;
        let row = TABLE.iter().find(|r| r.name == name).ok_or_else(|| {
            let names: Vec<&str> = TABLE.iter().map(|r| r.name).collect();
            format!("--limit {text}: there is no limit {name:?}; expected one of {}", names.join(", "))
        })?;
        let value = number(value).ok_or_else(|| {
            format!("--limit {text}: {value:?} is no value; expected a whole number, for bytes also such as 64MiB")
        })?;
        *(row.value)(self) = value;
        Ok(())
    }

    /// The usual limits with some set otherwise.
    pub fn with(settings: &[String]) -> Outcome<Self> {
        let mut limits = Self::default();
        for setting in settings {
            limits.set(setting).map_err(|why| Fault::new(Kind::Usage, format!("{why}.")))?;
        }
        Ok(limits)
    }
}

fn number(text: &str) -> Option<u64> {
    let (digits, shift) = [("KiB", 10), ("MiB", 20), ("GiB", 30)]
        .iter()
        .find_map(|(unit, shift)| Some((text.strip_suffix(unit)?, *shift)))
        .unwrap_or((text, 0));
    digits.trim_end().parse::<u64>().ok()?.checked_mul(1 << shift)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn at_a_limit_passes_and_one_more_does_not() {
        for row in TABLE {
            let mut limits = Limits::default();
            let allowed = *(row.value)(&mut limits);
            assert!(within(row.name, allowed, allowed).is_ok());
            let fault = within(row.name, allowed, allowed + 1).unwrap_err();
            assert!(fault.detail.contains(row.name) && fault.detail.contains(&(allowed + 1).to_string()));
        }
    }

    #[test]
    fn settings_are_understood_or_told_what_was_expected() {
        let limits = Limits::with(&["bytes=2MiB".to_owned(), "hits=7".to_owned()]).unwrap();
        assert_eq!((limits.reading.bytes, limits.reading.hits), (2 << 20, 7));
        let wrong = |text: &str| Limits::with(&[text.to_owned()]).unwrap_err().detail;
        assert!(wrong("moon=1").contains("expected one of packed, unpacked"));
        assert!(wrong("hits").contains("expected NAME=VALUE"));
        assert!(wrong("hits=many").contains("whole number"));
        assert!(wrong("hits=99999999999GiB").contains("whole number"));
    }

    #[test]
    fn the_ratio_speaks_from_a_size_on() {
        let meter = Meter::new(Limits::default());
        assert!(meter.ratio(1, RATIO_FROM - 1).is_ok());
        assert!(meter.ratio(1, RATIO_FROM).is_err());
        assert!(meter.ratio(1 << 20, 400 << 20).is_ok());
    }
}
