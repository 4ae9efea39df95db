//! What a worker may say about a check: take it, keep it, give it back, end it. Each statement holds only while
//! the lease is the worker's own; the clock is the database's.

use sqlx::Row;

use crate::fault::{Fault, Kind, Outcome, Problem};
use crate::job::{Progress, State};
use crate::store::checks::{PackedPart, put_parts};
use crate::store::{Store, now};

/// A check held under a lease.
#[derive(Clone, Debug)]
pub struct Lease {
    /// The check.
    pub id: String,
    /// The worker's name, new for each check it takes.
    pub worker: String,
    /// The request as sent.
    pub asked: String,
    /// Times the process apart ended by itself on this check.
    pub crashes: i64,
}

/// What the database says to a sign of life.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// Go on.
    GoOn,
    /// Someone called the check off.
    Cancelled,
    /// The lease has gone to another worker, or the check is gone: leave it.
    Lost,
}

/// Times a check may be taken by workers that vanish before it is put aside.
const VANISHED: i64 = 20;
/// Times a check may end the process apart before it is put aside.
const CRASHED: i64 = 3;

fn text(progress: &Progress) -> String {
    serde_json::to_string(progress).unwrap_or_default()
}

/// The end of a check that could not be checked.
#[must_use]
pub fn failed(problem: Problem) -> Progress {
    Progress { problem: Some(problem), ..Progress::of(State::Failed) }
}

fn aside(why: &str) -> String {
    let detail = format!("{why} It is put aside and not begun again by itself; the board is not cleared.");
    text(&failed(Fault::new(Kind::CouldNotBeChecked, detail).problem()))
}

/// Takes the next check in line, or one whose worker gave no sign for too long.
pub async fn claim(store: &Store, worker: &str, lease_ms: i64) -> Outcome<Option<Lease>> {
    put_aside_vanished(store).await?;
    let statement = store.db.said(
        "UPDATE board_check SET state = 'running', progress = $1, version = version + 1, attempts = attempts + 1, \
         worker = $2, lease_until = {now} + $3 WHERE id = (SELECT id FROM board_check WHERE \
         (state = 'queued' AND due_at <= {now}) OR (state = 'running' AND lease_until < {now}) \
         ORDER BY created_at, id LIMIT 1 {skip}) RETURNING id, asked, crashes, cancel_asked",
    );
    let row = sqlx::query(statement)
        .bind(text(&Progress::of(State::Running)))
        .bind(worker)
        .bind(lease_ms)
        .fetch_optional(store.db.pool())
        .await?;
    let Some(row) = row else { return Ok(None) };
    let lease =
        Lease { id: row.try_get(0)?, worker: worker.to_owned(), asked: row.try_get(1)?, crashes: row.try_get(2)? };
    Ok(Some(lease))
}

async fn put_aside_vanished(store: &Store) -> Outcome<()> {
    let statement = store.db.said(
        "UPDATE board_check SET state = 'failed', quarantined = 1, progress = $1, version = version + 1, ended_at = $2 \
         WHERE state = 'running' AND lease_until < {now} AND attempts >= $3",
    );
    let why = format!("{VANISHED} workers took this check and none came back.");
    sqlx::query(statement).bind(aside(&why)).bind(now()).bind(VANISHED).execute(store.db.pool()).await?;
    Ok(())
}

/// A sign of life, with how far the check has come.
pub async fn keep(store: &Store, lease: &Lease, progress: Option<&Progress>, lease_ms: i64) -> Outcome<Word> {
    let statement = store.db.said(
        "UPDATE board_check SET lease_until = {now} + $1, progress = CASE WHEN $2 = '' THEN progress ELSE $2 END, \
         version = version + CASE WHEN $2 = '' THEN 0 ELSE 1 END \
         WHERE id = $3 AND worker = $4 AND state = 'running' RETURNING cancel_asked",
    );
    let row = sqlx::query(statement)
        .bind(lease_ms)
        .bind(progress.map(text).unwrap_or_default())
        .bind(&lease.id)
        .bind(&lease.worker)
        .fetch_optional(store.db.pool())
        .await?;
    let Some(row) = row else { return Ok(Word::Lost) };
    Ok(if row.try_get::<i64, _>(0)? == 0 { Word::GoOn } else { Word::Cancelled })
}

/// Ends a check with its parts. Says whether it was still this worker's to end.
pub async fn finish(store: &Store, lease: &Lease, object: &str, parts: &[PackedPart]) -> Outcome<bool> {
    let mut tx = store.db.write().await?;
    let done = sqlx::query(
        "UPDATE board_check SET state = 'done', progress = $1, version = version + 1, object = $2, worker = NULL, \
         ended_at = $3 WHERE id = $4 AND worker = $5 AND state = 'running'",
    )
    .bind(text(&Progress::of(State::Done)))
    .bind(object)
    .bind(now())
    .bind(&lease.id)
    .bind(&lease.worker)
    .execute(&mut *tx)
    .await?
    .rows_affected();
    if done > 0 {
        put_parts(&mut tx, &lease.id, parts).await?;
    }
    tx.commit().await?;
    Ok(done > 0)
}

/// Ends a check without a report.
pub async fn end(store: &Store, lease: &Lease, progress: &Progress) -> Outcome<()> {
    sqlx::query(
        "UPDATE board_check SET state = $1, progress = $2, version = version + 1, worker = NULL, ended_at = $3 \
         WHERE id = $4 AND worker = $5 AND state = 'running'",
    )
    .bind(progress.state.word())
    .bind(text(progress))
    .bind(now())
    .bind(&lease.id)
    .bind(&lease.worker)
    .execute(store.db.pool())
    .await?;
    Ok(())
}

/// Gives a check back unharmed: the worker is being stopped, or what is kept could not be reached.
pub async fn give_back(store: &Store, lease: &Lease, pause_ms: i64) -> Outcome<()> {
    let statement = store.db.said(
        "UPDATE board_check SET state = 'queued', progress = $1, version = version + 1, attempts = attempts - 1, \
         worker = NULL, due_at = {now} + $2 WHERE id = $3 AND worker = $4 AND state = 'running'",
    );
    sqlx::query(statement)
        .bind(text(&Progress::of(State::Queued)))
        .bind(pause_ms)
        .bind(&lease.id)
        .bind(&lease.worker)
        .execute(store.db.pool())
        .await?;
    Ok(())
}

/// The process apart ended by itself: the check is tried again after a pause, and put aside when that happens too often.
pub async fn crashed(store: &Store, lease: &Lease, why: &str) -> Outcome<()> {
    if lease.crashes + 1 < CRASHED {
        let statement = store.db.said(
            "UPDATE board_check SET state = 'queued', progress = $1, version = version + 1, crashes = crashes + 1, \
             worker = NULL, due_at = {now} + 200 WHERE id = $2 AND worker = $3 AND state = 'running'",
        );
        sqlx::query(statement)
            .bind(text(&Progress::of(State::Queued)))
            .bind(&lease.id)
            .bind(&lease.worker)
            .execute(store.db.pool())
            .await?;
        return Ok(());
    }
    sqlx::query(
        "UPDATE board_check SET state = 'failed', quarantined = 1, progress = $1, version = version + 1, \
         crashes = crashes + 1, worker = NULL, ended_at = $2 WHERE id = $3 AND worker = $4 AND state = 'running'",
    )
    .bind(aside(&format!("The program ended {CRASHED} times on this data: {why}.")))
    .bind(now())
    .bind(&lease.id)
    .bind(&lease.worker)
    .execute(store.db.pool())
    .await?;
    Ok(())
}
