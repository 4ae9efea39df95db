//! The data folder. Everything is written aside first and moved in place whole, so that a crash or
//! a broken upload leaves nothing half-stored.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use landgap_rules::check::InputFile;
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::DataSet;
use crate::intake::refused::Refused;
use crate::intake::told::Sayings;
use crate::print::json::pretty;

/// The data folder.
#[derive(Debug)]
pub struct Store {
    root: PathBuf,
    counter: AtomicU64,
}

/// A folder to write in, gone with everything in it unless it was moved in place.
#[derive(Debug)]
pub struct Aside {
    /// The folder.
    pub path: PathBuf,
}

impl Drop for Aside {
    fn drop(&mut self) {
        // After a move there is nothing left to remove.
        let _ = fs::remove_dir_all(&self.path);
    }
}

/// What a stored set holds.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// The set's id.
    pub id: String,
    /// Its files in order of path.
    pub files: Vec<ManifestFile>,
    /// Entries that were left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub refused: Vec<Refused>,
}

/// One file of a stored set.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct ManifestFile {
    /// Path inside the set.
    pub path: String,
    /// Hash of its bytes.
    pub sha256: String,
    /// Its size.
    pub bytes: u64,
}

impl Manifest {
    /// The manifest of a set.
    #[must_use]
    pub fn of(set: &DataSet) -> Self {
        let each = set.files.iter().zip(&set.hashes);
        let files =
            each.map(|(f, h)| ManifestFile { path: f.path.clone(), sha256: h.clone(), bytes: f.bytes.len() as u64 });
        Self { id: set.id.clone(), files: files.collect(), refused: set.refused.clone() }
    }
}

impl Store {
    /// Opens or makes a data folder, and clears what an earlier run left unfinished.
    pub fn open(root: &Path) -> Outcome<Self> {
        let store = Self { root: root.to_owned(), counter: AtomicU64::new(0) };
        let _ = fs::remove_dir_all(root.join("unfinished"));
        for folder in ["unfinished", "sets", "checks"] {
            let path = root.join(folder);
            fs::create_dir_all(&path).map_err(|e| Fault::storage(path.display(), &e))?;
        }
        Ok(store)
    }

    /// A fresh folder to write in.
    pub fn aside(&self) -> Outcome<Aside> {
        let number = self.counter.fetch_add(1, Ordering::Relaxed);
        let path = self.root.join("unfinished").join(format!("{}-{number}", std::process::id()));
        fs::create_dir(&path).map_err(|e| Fault::storage(path.display(), &e))?;
        Ok(Aside { path })
    }

    fn set_folder(&self, id: &str) -> Outcome<PathBuf> {
        let hex = id.strip_prefix("sha256:").unwrap_or(id);
        if hex.len() != 64 || !is_hex(hex) {
            return Err(Fault::new(
                Kind::NotFound,
                format!("{id:?} is no id of a data set; expected sha256: and 64 hexadecimal digits."),
            ));
        }
        Ok(self.root.join("sets").join(hex))
    }

    fn check_folder(&self, id: &str) -> Outcome<PathBuf> {
        if id.len() != 32 || !is_hex(id) {
            return Err(Fault::new(Kind::NotFound, format!("{id:?} is no id of a check.")));
        }
        Ok(self.root.join("checks").join(id))
    }

    /// Keeps a set; one that is there already is left as it is.
    pub fn keep_set(&self, set: &DataSet) -> Outcome<Manifest> {
        let target = self.set_folder(&set.id)?;
        let manifest = Manifest::of(set);
        if target.join("manifest.json").exists() {
            return Ok(manifest);
        }
        let aside = self.aside()?;
        for (file, hash) in set.files.iter().zip(&set.hashes) {
            write(&aside.path.join(hash), &file.bytes)?;
        }
        write(&aside.path.join("manifest.json"), pretty(&manifest)?.as_bytes())?;
        settle(&aside.path, &target)?;
        Ok(manifest)
    }

    /// What a stored set holds.
    pub fn manifest(&self, id: &str) -> Outcome<Manifest> {
        let path = self.set_folder(id)?.join("manifest.json");
        let text = fs::read(&path).map_err(|_| Fault::new(Kind::NotFound, format!("There is no data set {id}.")))?;
        serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("{}: {e}", path.display())))
    }

    /// A stored set with its bytes; refused when they are not what they were.
    pub fn set(&self, id: &str) -> Outcome<DataSet> {
        let manifest = self.manifest(id)?;
        let folder = self.set_folder(id)?;
        let mut files = Vec::new();
        for file in &manifest.files {
            let path = folder.join(&file.sha256);
            let bytes = fs::read(&path).map_err(|e| Fault::storage(path.display(), &e))?;
            files.push(InputFile { path: file.path.clone(), bytes });
        }
        let set = DataSet::with_refused(files, manifest.refused);
        if set.id == manifest.id {
            return Ok(set);
        }
        Err(Fault::new(Kind::Storage, format!("The stored data set {id} has changed on the disk.")))
    }

    /// Keeps what was said of a set's files, in place of what was said before.
    pub fn keep_told(&self, id: &str, told: &Sayings) -> Outcome<()> {
        let target = self.set_folder(id)?.join("told.json");
        let aside = self.aside()?;
        let path = aside.path.join("told.json");
        write(&path, pretty(told)?.as_bytes())?;
        fs::rename(&path, &target).map_err(|e| Fault::storage(target.display(), &e))
    }

    /// What was last said of a set's files.
    pub fn told(&self, id: &str) -> Outcome<Sayings> {
        let path = self.set_folder(id)?.join("told.json");
        match fs::read(&path) {
            Ok(text) => {
                serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("{}: {e}", path.display())))
            }
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Sayings::new()),
            Err(e) => Err(Fault::storage(path.display(), &e)),
        }
    }

    /// Keeps a finished check: its parts by name.
    pub fn keep_check(&self, id: &str, parts: &[(String, Vec<u8>)]) -> Outcome<()> {
        let target = self.check_folder(id)?;
        if target.exists() {
            return Ok(());
        }
        let aside = self.aside()?;
        for (name, bytes) in parts {
            write(&aside.path.join(name), bytes)?;
        }
        settle(&aside.path, &target)
    }

    /// One part of a finished check; `None` where the check or the part is not there.
    pub fn check_part(&self, id: &str, name: &str) -> Outcome<Option<Vec<u8>>> {
        let path = self.check_folder(id)?.join(name);
        match fs::read(&path) {
            Ok(bytes) => Ok(Some(bytes)),
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(e) => Err(Fault::storage(path.display(), &e)),
        }
    }

    /// Whether the folder can be written to.
    #[must_use]
    pub fn is_ready(&self) -> bool {
        self.aside().is_ok()
    }
}

fn write(path: &Path, bytes: &[u8]) -> Outcome<()> {
    fs::write(path, bytes).map_err(|e| Fault::storage(path.display(), &e))
}

/// Moves a finished folder in place; when another was quicker with the same content, that one stays.
fn settle(from: &Path, to: &Path) -> Outcome<()> {
    match fs::rename(from, to) {
        Err(e) if !to.exists() => Err(Fault::storage(to.display(), &e)),
        _ => Ok(()),
    }
}

fn is_hex(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}
