//! Bytes kept whole under keys: a folder, or S3-compatible storage.

use std::ops::Range;
use std::path::Path as FilePath;
use std::sync::Arc;

use axum::body::Bytes;
use futures_util::TryStreamExt;
use object_store::aws::AmazonS3Builder;
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::prefix::PrefixStore;
use object_store::{ObjectStore, ObjectStoreExt, PutPayload};

use crate::fault::{Fault, Kind, Outcome};

/// Where the bytes are.
#[derive(Clone, Debug)]
pub struct Objects {
    inner: Arc<dyn ObjectStore>,
}

impl Objects {
    /// A folder; a written object is on the disk before it counts.
    pub fn folder(root: &FilePath) -> Outcome<Self> {
        std::fs::create_dir_all(root).map_err(|e| Fault::storage(root.display(), &e))?;
        let folder = LocalFileSystem::new_with_prefix(root)?.with_fsync(true).with_automatic_cleanup(true);
        Ok(Self { inner: Arc::new(folder) })
    }

    /// `s3://BUCKET/PREFIX`; key, secret, region and endpoint come from the usual `AWS_…` variables.
    pub fn at(url: &str) -> Outcome<Self> {
        let rest = url.strip_prefix("s3://").ok_or_else(|| {
            Fault::new(Kind::Usage, format!("--objects {url}: expected s3://BUCKET or s3://BUCKET/PREFIX."))
        })?;
        let _ = rustls::crypto::ring::default_provider().install_default();
        let (bucket, prefix) = rest.split_once('/').unwrap_or((rest, ""));
        let bucket = AmazonS3Builder::from_env().with_bucket_name(bucket).build()?;
        let inner: Arc<dyn ObjectStore> =
            if prefix.is_empty() { Arc::new(bucket) } else { Arc::new(PrefixStore::new(bucket, prefix)) };
        Ok(Self { inner })
    }

    /// Writes an object, whole or not at all.
    pub async fn put(&self, key: &str, pieces: Vec<Bytes>) -> Outcome<()> {
        self.inner.put(&Path::from(key), PutPayload::from_iter(pieces)).await?;
        Ok(())
    }

    /// The whole object.
    pub async fn get(&self, key: &str) -> Outcome<Bytes> {
        Ok(self.inner.get(&Path::from(key)).await?.bytes().await?)
    }

    /// A stretch of an object.
    pub async fn range(&self, key: &str, range: Range<u64>) -> Outcome<Bytes> {
        if range.is_empty() {
            return Ok(Bytes::new());
        }
        Ok(self.inner.get_range(&Path::from(key), range).await?)
    }

    /// Removes an object; one that is gone already is no fault.
    pub async fn remove(&self, key: &str) -> Outcome<()> {
        match self.inner.delete(&Path::from(key)).await {
            Err(e) if !matches!(e, object_store::Error::NotFound { .. }) => Err(e.into()),
            _ => Ok(()),
        }
    }

    /// The keys below a prefix.
    pub async fn keys(&self, prefix: &str) -> Outcome<Vec<String>> {
        let list = self.inner.list(Some(&Path::from(prefix)));
        Ok(list.map_ok(|o| o.location.to_string()).try_collect().await?)
    }

    /// Whether something can be written now.
    pub async fn can_be_written(&self) -> Outcome<()> {
        let key = format!("probe/{}", super::fresh_id());
        self.put(&key, vec![Bytes::from_static(b"probe\n")]).await?;
        self.remove(&key).await
    }
}

impl From<object_store::Error> for Fault {
    fn from(error: object_store::Error) -> Self {
        use object_store::Error as E;
        tracing::error!("the objects: {error}");
        if matches!(error, E::NotFound { .. }) {
            return Self::new(
                Kind::Storage,
                "Stored bytes are not where they were put; the log of the service says more.",
            );
        }
        Self::new(Kind::Unavailable, "Bytes could not be read or written; the log of the service says more.")
    }
}
