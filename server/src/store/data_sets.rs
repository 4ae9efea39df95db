//! Data sets: kept once by content, held by whoever sent them.

use sqlx::Row;

use super::audit::{self, Entry};
use super::manifest::{Manifest, pack};
use super::{Store, fresh_id, now};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::DataSet;

/// A held set in a list.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Held {
    /// The set.
    pub id: String,
    /// Its size in bytes.
    pub bytes: i64,
    /// When this owner first sent it, in milliseconds since 1970.
    pub created_at: i64,
}

/// What a deletion removed.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Erased {
    /// Whether the content itself went; another owner may hold the same.
    pub content: bool,
    /// Files of the set.
    pub files: usize,
    /// Checks of the set.
    pub checks: usize,
    /// Forms made on it.
    pub forms: usize,
}

/// The id as kept, with its `sha256:`.
pub fn whole_id(id: &str) -> Outcome<String> {
    let hex = id.strip_prefix("sha256:").unwrap_or(id);
    let is_hex = hex.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'));
    if hex.len() == 64 && is_hex {
        return Ok(format!("sha256:{hex}"));
    }
    Err(Fault::new(
        Kind::NotFound,
        format!("{id:?} is no id of a data set; expected sha256: and 64 hexadecimal digits."),
    ))
}

fn missing(id: &str) -> Fault {
    Fault::new(Kind::NotFound, format!("There is no data set {id}."))
}

impl Store {
    /// Keeps a set for an owner. Content that is there already is left as it is.
    pub async fn keep_set(&self, set: DataSet, owner: &str, by: &str) -> Outcome<Manifest> {
        let manifest = Manifest::of(&set);
        let text = serde_json::to_string(&manifest).unwrap_or_default();
        let size = i64::try_from(manifest.bytes()).unwrap_or(i64::MAX);
        let known = self.object_of(&manifest.id).await?.is_some();
        let key = format!("sets/{}", fresh_id());
        if !known {
            self.objects.put(&key, pack(set)).await?;
        }
        let mut tx = self.db.write().await?;
        let made = sqlx::query(
            "INSERT INTO data_set (id, object, manifest, bytes, created_at) SELECT $1, $2, $3, $4, $5 \
             WHERE $6 = 1 ON CONFLICT (id) DO NOTHING",
        )
        .bind(&manifest.id)
        .bind(&key)
        .bind(&text)
        .bind(size)
        .bind(now())
        .bind(i64::from(!known))
        .execute(&mut *tx)
        .await?
        .rows_affected();
        let held = sqlx::query(
            "INSERT INTO holding (data_set_id, owner, created_by, created_at) \
             SELECT id, $2, $3, $4 FROM data_set WHERE id = $1 ON CONFLICT (data_set_id, owner) DO NOTHING",
        )
        .bind(&manifest.id)
        .bind(owner)
        .bind(by)
        .bind(now())
        .execute(&mut *tx)
        .await?
        .rows_affected();
        let there =
            sqlx::query("SELECT 1 FROM data_set WHERE id = $1").bind(&manifest.id).fetch_optional(&mut *tx).await?;
        if there.is_none() {
            // It was deleted between the two looks at it; the sender is asked to send it again.
            return Err(Fault::new(Kind::Unavailable, "The same data set is being deleted just now."));
        }
        if held > 0 {
            audit::append(&mut tx, &Entry::new(by, "data-set-taken-in", &manifest.id).with("owner", owner)).await?;
        }
        tx.commit().await?;
        if !known && made == 0 {
            self.objects.remove(&key).await?;
        }
        Ok(manifest)
    }

    async fn object_of(&self, id: &str) -> Outcome<Option<String>> {
        let row =
            sqlx::query("SELECT object FROM data_set WHERE id = $1").bind(id).fetch_optional(self.db.pool()).await?;
        Ok(row.map(|r| r.try_get(0)).transpose()?)
    }

    /// What a stored set holds.
    pub async fn manifest(&self, id: &str) -> Outcome<Manifest> {
        let id = whole_id(id)?;
        let row = sqlx::query("SELECT manifest FROM data_set WHERE id = $1")
            .bind(&id)
            .fetch_optional(self.db.pool())
            .await?
            .ok_or_else(|| missing(&id))?;
        let text: String = row.try_get(0)?;
        serde_json::from_str(&text).map_err(|e| Fault::new(Kind::Storage, format!("The manifest of {id}: {e}")))
    }

    /// The bytes of a stored set, file after file.
    pub async fn packed_set(&self, id: &str) -> Outcome<axum::body::Bytes> {
        let key = self.object_of(id).await?.ok_or_else(|| missing(id))?;
        self.objects.get(&key).await
    }

    /// Whether `owner` holds the set.
    pub async fn holds(&self, id: &str, owner: &str) -> Outcome<bool> {
        let row = sqlx::query("SELECT 1 FROM holding WHERE data_set_id = $1 AND owner = $2")
            .bind(id)
            .bind(owner)
            .fetch_optional(self.db.pool())
            .await?;
        Ok(row.is_some())
    }

    /// Sets of one owner, or all, newest first, from before a place on.
    pub async fn held(&self, owner: Option<&str>, before: Option<(i64, String)>, most: i64) -> Outcome<Vec<Held>> {
        let (at, id) = before.unwrap_or((i64::MAX, String::new()));
        let rows = sqlx::query(
            "SELECT h.data_set_id, d.bytes, MIN(h.created_at) AS first FROM holding h JOIN data_set d ON d.id = h.data_set_id \
             WHERE ($1 = '' OR h.owner = $1) GROUP BY h.data_set_id, d.bytes \
             HAVING MIN(h.created_at) < $2 OR (MIN(h.created_at) = $2 AND h.data_set_id > $3) \
             ORDER BY first DESC, h.data_set_id LIMIT $4",
        )
        .bind(owner.unwrap_or_default())
        .bind(at)
        .bind(id)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(|r| Ok(Held { id: r.try_get(0)?, bytes: r.try_get(1)?, created_at: r.try_get(2)? })).collect()
    }
}
