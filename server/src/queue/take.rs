//! Putting checks in line, calling them off, and judging again.

use sqlx::Row;

use super::Queue;
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::told;
use crate::job::request::{CapabilityChoice, CheckRequest, JudgeRequest, Settled, Taken};
use crate::job::work::record;
use crate::job::{Progress, State};
use crate::store::checks::{Finished, Known, missing};
use crate::store::{fresh_id, now};

fn text<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_string(value).unwrap_or_default()
}

/// A check as it is put in line.
struct InLine {
    id: String,
    data_set: String,
    asked: String,
    record: String,
}

impl Queue {
    fn settle(&self, request: CheckRequest) -> Outcome<(Settled, InLine)> {
        let request = Taken::today(request);
        let asked = text(&request);
        let settled = request.settle(self.limits.reading)?;
        let taken =
            InLine { id: settled.id(), data_set: settled.data_set.clone(), asked, record: text(&record(&settled)) };
        Ok((settled, taken))
    }

    /// Takes a check; one that is finished or under way is not begun again.
    pub async fn take(&self, mut request: CheckRequest) -> Outcome<String> {
        let manifest = self.store.manifest(&request.data_set).await?;
        request.data_set.clone_from(&manifest.id);
        let (settled, taken) = self.settle(request)?;
        if let Some(path) = settled.told.keys().find(|p| !manifest.files.iter().any(|f| f.path == **p)) {
            return Err(Fault::new(Kind::BadTold, format!("The set has no file named {path:?}.")));
        }
        told::expect_words(&settled.told)?;
        match self.store.check(&taken.id).await {
            Ok(known) if known.quarantined => return Ok(taken.id),
            Ok(known) if !matches!(known.progress.state, State::Failed | State::Cancelled) => return Ok(taken.id),
            Err(fault) if fault.kind != Kind::NotFound => return Err(fault),
            _ => {}
        }
        self.expect_room().await?;
        self.put(&taken).await?;
        self.work.notify_one();
        Ok(taken.id)
    }

    async fn expect_room(&self) -> Outcome<()> {
        let row = sqlx::query("SELECT COUNT(*) FROM board_check WHERE state = 'queued'")
            .fetch_one(self.store.db.pool())
            .await?;
        let waiting: i64 = row.try_get(0)?;
        if u64::try_from(waiting).unwrap_or(0) < self.limits.waiting {
            return Ok(());
        }
        Err(Fault::new(Kind::Busy, format!("{waiting} checks are waiting already (the limit \"waiting\").")))
    }

    async fn put(&self, taken: &InLine) -> Outcome<()> {
        sqlx::query(
            "INSERT INTO board_check (id, data_set_id, asked, record, state, progress, version, attempts, crashes, \
             quarantined, cancel_asked, lease_until, due_at, created_at) \
             VALUES ($1, $2, $3, $4, 'queued', $5, 1, 0, 0, 0, 0, 0, 0, $6) \
             ON CONFLICT (id) DO UPDATE SET state = 'queued', progress = $5, version = board_check.version + 1, \
             attempts = 0, crashes = 0, quarantined = 0, cancel_asked = 0, due_at = 0, worker = NULL, ended_at = NULL \
             WHERE board_check.state IN ('failed', 'cancelled')",
        )
        .bind(&taken.id)
        .bind(&taken.data_set)
        .bind(&taken.asked)
        .bind(&taken.record)
        .bind(text(&Progress::of(State::Queued)))
        .bind(now())
        .execute(self.store.db.pool())
        .await
        .map(drop)
        .map_err(|e| match &e {
            sqlx::Error::Database(d) if d.is_foreign_key_violation() => {
                Fault::new(Kind::NotFound, format!("There is no data set {}.", taken.data_set))
            }
            _ => e.into(),
        })
    }

    /// Puts a check in line once more that could not be checked or was put aside.
    pub async fn retry(&self, id: &str) -> Outcome<Known> {
        let done = sqlx::query(
            "UPDATE board_check SET state = 'queued', progress = $1, version = version + 1, attempts = 0, crashes = 0, \
             quarantined = 0, cancel_asked = 0, due_at = 0, worker = NULL, ended_at = NULL \
             WHERE id = $2 AND state IN ('failed', 'cancelled')",
        )
        .bind(text(&Progress::of(State::Queued)))
        .bind(id)
        .execute(self.store.db.pool())
        .await?;
        let known = self.store.check(id).await?;
        if done.rows_affected() == 0 {
            let word = known.progress.state.word();
            return Err(Fault::new(
                Kind::Conflict,
                format!("Check {id} is {word}; only one that failed or was cancelled is begun again."),
            ));
        }
        self.work.notify_one();
        self.news.notify_waiters();
        Ok(known)
    }

    /// Calls a check off: one in line at once, one at work as soon as its worker hears of it; a finished one stays.
    pub async fn cancel(&self, id: &str) -> Outcome<Known> {
        sqlx::query(
            "UPDATE board_check SET state = 'cancelled', progress = $1, version = version + 1, ended_at = $2 \
             WHERE id = $3 AND state = 'queued'",
        )
        .bind(text(&Progress::of(State::Cancelled)))
        .bind(now())
        .bind(id)
        .execute(self.store.db.pool())
        .await?;
        sqlx::query("UPDATE board_check SET cancel_asked = 1 WHERE id = $1 AND state = 'running'")
            .bind(id)
            .execute(self.store.db.pool())
            .await?;
        self.news.notify_waiters();
        self.store.check(id).await
    }

    /// Judges a finished check's board again; the outcome is a check of its own, whose id is given.
    pub async fn judge(&self, id: &str, request: JudgeRequest) -> Outcome<String> {
        let known = self.store.check(id).await?;
        if known.progress.state != State::Done {
            return Err(Fault::new(Kind::NotReady, format!("Check {id} is {}.", known.progress.state.word())));
        }
        let request = CheckRequest {
            data_set: known.record.data_set,
            capability: request.capability.or_else(|| Some(CapabilityChoice::Name(crate::profile::USUAL.to_owned()))),
            order: request.order,
            told: Some(known.record.told),
            terms: request.terms,
        };
        let (settled, taken) = self.settle(request)?;
        match self.store.check(&taken.id).await {
            Ok(known) if known.progress.state == State::Done => return Ok(taken.id),
            Err(fault) if fault.kind != Kind::NotFound => return Err(fault),
            _ => {}
        }
        let outcome = self.rooms.judge(&self.store, &taken.asked, &settled).await?;
        let object = format!("checks/{}", fresh_id());
        self.store.objects.put(&object, vec![outcome.bytes]).await?;
        let done = Finished {
            id: &taken.id,
            data_set: &taken.data_set,
            asked: &taken.asked,
            record: &taken.record,
            object: &object,
            parts: &outcome.parts,
        };
        if !self.store.keep_finished(&done).await? {
            self.store.objects.remove(&object).await?;
        }
        Ok(taken.id)
    }

    /// What is known of a check.
    pub async fn known(&self, id: &str) -> Outcome<Known> {
        if id.len() != 32 || !id.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f')) {
            return Err(missing(id));
        }
        self.store.check(id).await
    }
}
