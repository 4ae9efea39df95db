//! The audit log: append-only, each entry chained to the one before by its hash.
//!
//! It names people, data sets and forms by their identifiers; never files, nets or places on a board.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use sqlx::Row;

use super::database::Tx;
use super::{Store, now};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;

/// Something to be kept.
#[derive(Clone, Debug)]
pub struct Entry {
    actor: String,
    action: &'static str,
    subject: String,
    detail: BTreeMap<&'static str, String>,
}

impl Entry {
    /// Who did what to which thing.
    #[must_use]
    pub fn new(actor: &str, action: &'static str, subject: &str) -> Self {
        Self { actor: actor.to_owned(), action, subject: subject.to_owned(), detail: BTreeMap::new() }
    }

    /// With a detail.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: &str) -> Self {
        self.detail.insert(name, value.to_owned());
        self
    }
}

/// An entry as kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kept {
    /// Its number, from 1, without gaps.
    pub seq: i64,
    /// When, in milliseconds since 1970.
    pub at: i64,
    /// Who.
    pub actor: String,
    /// What was done.
    pub action: String,
    /// To which thing.
    pub subject: String,
    /// Details as a JSON object.
    pub detail: String,
    /// Hash of the entry before; empty for the first.
    pub previous: String,
    /// SHA-256 over the other fields, each followed by a line feed, in the order they have here.
    pub hash: String,
}

impl Kept {
    fn sum(&self) -> String {
        let (seq, at) = (self.seq.to_string(), self.at.to_string());
        let fields = [&seq, &at, &self.actor, &self.action, &self.subject, &self.detail, &self.previous];
        sha256(fields.iter().flat_map(|f| [f.as_str(), "\n"]).collect::<String>().as_bytes())
    }
}

/// Appends within a transaction, so that what was done and its entry are kept together or not at all.
pub async fn append(tx: &mut Tx, entry: &Entry) -> Outcome<()> {
    // The update takes the row's lock: entries are appended one after another.
    let head = sqlx::query("UPDATE audit_head SET seq = seq + 1 WHERE id = 1 RETURNING seq, hash")
        .fetch_one(&mut **tx)
        .await?;
    let mut kept = Kept {
        seq: head.try_get(0)?,
        at: now(),
        actor: entry.actor.clone(),
        action: entry.action.to_owned(),
        subject: entry.subject.clone(),
        detail: serde_json::to_string(&entry.detail).unwrap_or_default(),
        previous: head.try_get(1)?,
        hash: String::new(),
    };
    kept.hash = kept.sum();
    sqlx::query(
        "INSERT INTO audit (seq, at, actor, action, subject, detail, previous, hash) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(kept.seq)
    .bind(kept.at)
    .bind(&kept.actor)
    .bind(&kept.action)
    .bind(&kept.subject)
    .bind(&kept.detail)
    .bind(&kept.previous)
    .bind(&kept.hash)
    .execute(&mut **tx)
    .await?;
    sqlx::query("UPDATE audit_head SET hash = $1 WHERE id = 1").bind(&kept.hash).execute(&mut **tx).await?;
    Ok(())
}

impl Store {
    /// Appends an entry of its own.
    pub async fn note(&self, entry: &Entry) -> Outcome<()> {
        let mut tx = self.db.write().await?;
        append(&mut tx, entry).await?;
        Ok(tx.commit().await?)
    }

    /// Entries after a number, in order.
    pub async fn audit_after(&self, seq: i64, most: i64) -> Outcome<Vec<Kept>> {
        let rows = sqlx::query(
            "SELECT seq, at, actor, action, subject, detail, previous, hash FROM audit WHERE seq > $1 ORDER BY seq LIMIT $2",
        )
        .bind(seq)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        let kept = |r: &sqlx::any::AnyRow| -> Outcome<Kept> {
            Ok(Kept {
                seq: r.try_get(0)?,
                at: r.try_get(1)?,
                actor: r.try_get(2)?,
                action: r.try_get(3)?,
                subject: r.try_get(4)?,
                detail: r.try_get(5)?,
                previous: r.try_get(6)?,
                hash: r.try_get(7)?,
            })
        };
        rows.iter().map(kept).collect()
    }

    /// Follows the whole chain; gives the number of entries and the last hash, or where it is broken.
    pub async fn audit_verified(&self) -> Outcome<(i64, String)> {
        let mut last = (0, String::new());
        loop {
            let batch = self.audit_after(last.0, 500).await?;
            if batch.is_empty() {
                break;
            }
            for entry in batch {
                if entry.seq != last.0 + 1 || entry.previous != last.1 || entry.hash != entry.sum() {
                    return Err(broken(last.0 + 1));
                }
                last = (entry.seq, entry.hash);
            }
        }
        let head = sqlx::query("SELECT seq, hash FROM audit_head WHERE id = 1").fetch_one(self.db.pool()).await?;
        let head: (i64, String) = (head.try_get(0)?, head.try_get(1)?);
        // Entries may have been appended since the last batch; missing ones at the end may not be.
        if head.0 < last.0 || (head.0 == last.0 && head.1 != last.1) {
            return Err(broken(last.0));
        }
        if head.0 > last.0 && self.audit_after(last.0, 1).await?.is_empty() {
            return Err(broken(last.0 + 1));
        }
        Ok(last)
    }
}

fn broken(seq: i64) -> Fault {
    Fault::new(
        Kind::Storage,
        format!("The audit log is broken at entry {seq}: it was changed or removed from outside."),
    )
}
