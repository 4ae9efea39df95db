//! What the service keeps: records in a database, bytes in objects, unfinished uploads in a scratch folder.
//!
//! One file a resource. SQLite and a folder, or PostgreSQL and S3-compatible storage: the same code path.

pub mod audit;
pub mod backup;
pub mod checks;
pub mod data_sets;
pub mod database;
pub mod erase;
pub mod form_changes;
pub mod forms;
pub mod manifest;
pub mod objects;
pub mod parts;
pub mod scratch;
pub mod tables;

use std::path::Path;

pub use database::{Database, now};
pub use manifest::{Manifest, ManifestFile};
pub use objects::Objects;
pub use scratch::{Aside, Scratch};

use crate::fault::{Fault, Outcome};

/// Everything kept.
#[derive(Clone, Debug)]
pub struct Store {
    /// The records.
    pub db: Database,
    /// The bytes.
    pub objects: Objects,
    /// Where uploads are received.
    pub scratch: Scratch,
}

/// Where things are kept.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// The data folder.
    pub data: std::path::PathBuf,
    /// A PostgreSQL address in place of the SQLite file in the data folder.
    pub database: Option<String>,
    /// `s3://BUCKET/PREFIX` in place of the folder of objects in the data folder.
    pub objects: Option<String>,
}

impl Places {
    /// The SQLite file of the data folder.
    #[must_use]
    pub fn sqlite(data: &Path) -> std::path::PathBuf {
        data.join("landgap.db")
    }
}

impl Store {
    /// Opens or makes what is kept, and brings an older database up to date.
    pub async fn open(places: &Places) -> Outcome<Self> {
        let data = &places.data;
        std::fs::create_dir_all(data).map_err(|e| Fault::storage(data.display(), &e))?;
        let db = match &places.database {
            Some(url) => Database::open(url).await?,
            None => Database::open_file(&Places::sqlite(data)).await?,
        };
        let objects = match &places.objects {
            Some(url) => Objects::at(url)?,
            None => Objects::folder(&data.join("objects"))?,
        };
        Ok(Self { db, objects, scratch: Scratch::open(&data.join("unfinished"))? })
    }

    /// Whether records can be read and bytes be written.
    pub async fn is_ready(&self) -> Outcome<()> {
        sqlx::query("SELECT seq FROM audit_head WHERE id = 1").fetch_one(self.db.pool()).await?;
        self.scratch.aside().map(drop)?;
        self.objects.can_be_written().await
    }
}

/// An identifier that sorts by the time it was made.
#[must_use]
pub fn fresh_id() -> String {
    uuid::Uuid::now_v7().simple().to_string()
}
