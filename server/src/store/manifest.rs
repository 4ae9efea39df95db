//! What a stored set holds.

use axum::body::Bytes;
use landgap_rules::check::InputFile;
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::DataSet;
use crate::intake::refused::Refused;

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

    /// Bytes of all files.
    #[must_use]
    pub fn bytes(&self) -> u64 {
        self.files.iter().map(|f| f.bytes).sum()
    }

    /// The set from its files' bytes, one after another; refused when they are not what they were.
    pub fn unpack(self, bytes: &[u8]) -> Outcome<DataSet> {
        let changed =
            || Fault::new(Kind::Storage, format!("The stored data set {} has changed where it is kept.", self.id));
        let mut rest = bytes;
        let mut files = Vec::with_capacity(self.files.len());
        for file in &self.files {
            let length = usize::try_from(file.bytes).map_err(|_| changed())?;
            let (own, after) = rest.split_at_checked(length).ok_or_else(changed)?;
            files.push(InputFile { path: file.path.clone(), bytes: own.to_vec() });
            rest = after;
        }
        let id = self.id.clone();
        let set = DataSet::with_refused(files, self.refused.clone());
        if set.id == id && rest.is_empty() { Ok(set) } else { Err(changed()) }
    }
}

/// The files' bytes, one after another.
#[must_use]
pub fn pack(set: DataSet) -> Vec<Bytes> {
    set.files.into_iter().map(|f| Bytes::from(f.bytes)).collect()
}
