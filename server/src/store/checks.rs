//! Checks as kept: what was asked, how far they are, and the parts of the finished ones.

use axum::body::Bytes;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::database::Tx;
use super::{Store, now};
use crate::fault::{Fault, Kind, Outcome};
use crate::job::work::Record;
use crate::job::{Progress, State};

/// What is known of a check.
#[derive(Clone, Debug)]
pub struct Known {
    /// Its data set, profile and statements.
    pub record: Record,
    /// How far it is.
    pub progress: Progress,
    /// Counts its changes.
    pub version: i64,
    /// Whether it is not begun again by itself: it ended the program too often.
    pub quarantined: bool,
    /// Where its parts lie.
    pub object: Option<String>,
}

/// One part of a finished check as packed.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct PackedPart {
    /// Its name.
    pub name: String,
    /// Its size.
    pub bytes: u64,
    /// Hash of its bytes.
    pub sha256: String,
}

/// A part that can be fetched.
#[derive(Clone, Debug)]
pub struct PartPlace {
    object: String,
    start: u64,
    bytes: u64,
    /// Hash of its bytes: its entity tag.
    pub sha256: String,
}

/// The error for an id that no check has.
#[must_use]
pub fn missing(id: &str) -> Fault {
    Fault::new(Kind::NotFound, format!("There is no check {id}."))
}

fn stored<T: serde::de::DeserializeOwned>(text: &str) -> Outcome<T> {
    serde_json::from_str(text).map_err(|e| Fault::new(Kind::Storage, format!("A stored check: {e}.")))
}

pub(crate) fn unsigned(value: i64) -> u64 {
    u64::try_from(value).unwrap_or(0)
}

fn known(row: &AnyRow) -> Outcome<Known> {
    Ok(Known {
        record: stored(&row.try_get::<String, _>(0)?)?,
        progress: stored(&row.try_get::<String, _>(1)?)?,
        version: row.try_get(2)?,
        quarantined: row.try_get::<i64, _>(3)? != 0,
        object: row.try_get(4)?,
    })
}

impl Store {
    /// A check.
    pub async fn check(&self, id: &str) -> Outcome<Known> {
        let row = sqlx::query("SELECT record, progress, version, quarantined, object FROM board_check WHERE id = $1")
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(missing(id)), known)
    }

    /// Checks of a data set: id and state, newest first.
    pub async fn checks_of(&self, data_set: &str, most: i64) -> Outcome<Vec<(String, String)>> {
        let rows = sqlx::query(
            "SELECT id, state FROM board_check WHERE data_set_id = $1 ORDER BY created_at DESC, id LIMIT $2",
        )
        .bind(data_set)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(|r| Ok((r.try_get(0)?, r.try_get(1)?))).collect()
    }

    /// Where a part lies; otherwise why it is not there.
    pub async fn part_place(&self, id: &str, name: &str, absent: &str) -> Outcome<PartPlace> {
        let row = sqlx::query(
            "SELECT c.object, p.start, p.bytes, p.sha256 FROM check_part p JOIN board_check c ON c.id = p.check_id \
             WHERE p.check_id = $1 AND p.name = $2 AND c.state = 'done'",
        )
        .bind(id)
        .bind(name)
        .fetch_optional(self.db.pool())
        .await?;
        if let Some(row) = row {
            return Ok(PartPlace {
                object: row.try_get(0)?,
                start: unsigned(row.try_get(1)?),
                bytes: unsigned(row.try_get(2)?),
                sha256: row.try_get(3)?,
            });
        }
        let progress = self.check(id).await?.progress;
        Err(match (progress.state, progress.problem) {
            (State::Done, _) => Fault::new(Kind::NotFound, absent),
            (State::Cancelled, _) => Fault::new(Kind::Cancelled, format!("Check {id} was cancelled.")),
            (_, Some(problem)) => problem.into_fault(),
            (state, None) => Fault::new(Kind::NotReady, format!("Check {id} is {}.", state.word())),
        })
    }

    /// The bytes of a part.
    pub async fn part_bytes(&self, place: &PartPlace) -> Outcome<Bytes> {
        self.objects.range(&place.object, place.start..place.start + place.bytes).await
    }

    /// A part by its name.
    pub async fn check_bytes(&self, id: &str, name: &str) -> Outcome<Bytes> {
        let place = self.part_place(id, name, "That part of the check is not there.").await?;
        self.part_bytes(&place).await
    }
}

/// Writes down the parts of a check; those of an earlier end of the same check are replaced.
pub async fn put_parts(tx: &mut Tx, id: &str, parts: &[PackedPart]) -> Outcome<()> {
    sqlx::query("DELETE FROM check_part WHERE check_id = $1").bind(id).execute(&mut **tx).await?;
    let mut start = 0_i64;
    for part in parts {
        let bytes = i64::try_from(part.bytes).unwrap_or(i64::MAX);
        sqlx::query("INSERT INTO check_part (check_id, name, start, bytes, sha256) VALUES ($1, $2, $3, $4, $5)")
            .bind(id)
            .bind(&part.name)
            .bind(start)
            .bind(bytes)
            .bind(&part.sha256)
            .execute(&mut **tx)
            .await?;
        start += bytes;
    }
    Ok(())
}

/// A finished check that was not queued: the outcome of judging again.
#[derive(Debug)]
pub struct Finished<'a> {
    /// The check's id.
    pub id: &'a str,
    /// Its data set.
    pub data_set: &'a str,
    /// The request as sent.
    pub asked: &'a str,
    /// What stands beside the report.
    pub record: &'a str,
    /// Where its parts lie.
    pub object: &'a str,
    /// Its parts in order.
    pub parts: &'a [PackedPart],
}

impl Store {
    /// Keeps a check that was finished without the queue; one that is finished already stays as it is.
    /// Says whether it was kept.
    pub async fn keep_finished(&self, done: &Finished<'_>) -> Outcome<bool> {
        let progress = serde_json::to_string(&Progress::of(State::Done)).unwrap_or_default();
        let mut tx = self.db.write().await?;
        let kept = sqlx::query(
            "INSERT INTO board_check (id, data_set_id, asked, record, state, progress, version, attempts, crashes, \
             quarantined, cancel_asked, lease_until, due_at, object, created_at, ended_at) \
             VALUES ($1, $2, $3, $4, 'done', $5, 1, 0, 0, 0, 0, 0, 0, $6, $7, $7) \
             ON CONFLICT (id) DO UPDATE SET state = 'done', progress = $5, version = board_check.version + 1, worker = NULL, \
             quarantined = 0, object = $6, ended_at = $7 WHERE board_check.state <> 'done'",
        )
        .bind(done.id)
        .bind(done.data_set)
        .bind(done.asked)
        .bind(done.record)
        .bind(&progress)
        .bind(done.object)
        .bind(now())
        .execute(&mut *tx)
        .await?
        .rows_affected();
        if kept > 0 {
            put_parts(&mut tx, done.id, done.parts).await?;
        }
        tx.commit().await?;
        Ok(kept > 0)
    }
}
