//! A worker: claims a check, has it done in a process apart, keeps the lease alive meanwhile, and ends it.

use std::time::Duration;

use tokio::sync::watch;

use super::lease::{self, Lease, Word, claim, crashed, failed, finish, give_back, keep};
use super::{LOOK, Queue};
use crate::apart::{Done, Ended};
use crate::fault::{Fault, Kind, Outcome};
use crate::job::request::Taken;
use crate::job::{Progress, State};
use crate::store::fresh_id;

/// How often progress is written down, at most.
const TELL: Duration = Duration::from_millis(300);
/// How long a check waits after what is kept could not be reached.
const PAUSE_MS: i64 = 2000;

/// Works until `closing` turns true; a check at work is then given back.
pub async fn run(queue: Queue, mut closing: watch::Receiver<bool>) {
    let lease_ms = i64::try_from(queue.limits.lease.saturating_mul(1000)).unwrap_or(i64::MAX);
    while !*closing.borrow() {
        let worker = format!("{}-{}", std::process::id(), fresh_id());
        match claim(&queue.store, &worker, lease_ms).await {
            Ok(Some(lease)) => one(&queue, &lease, lease_ms, &mut closing).await,
            Ok(None) => idle(&queue, &mut closing).await,
            Err(fault) => {
                tracing::warn!("a worker could not look for work: {}", fault.detail);
                idle(&queue, &mut closing).await;
            }
        }
    }
}

async fn idle(queue: &Queue, closing: &mut watch::Receiver<bool>) {
    tokio::select! {
        () = queue.work.notified() => {}
        () = tokio::time::sleep(LOOK) => {}
        _ = closing.wait_for(|c| *c) => {}
    }
}

/// Why the work on a check came to its end.
enum End {
    Done(Done),
    Failed(Fault),
    Crashed(String),
    Cancelled,
    Lost,
    Stopped,
}

async fn one(queue: &Queue, lease: &Lease, lease_ms: i64, closing: &mut watch::Receiver<bool>) {
    queue.news.notify_waiters();
    let end = work(queue, lease, lease_ms, closing).await;
    let told = match end {
        End::Done(done) => keep_outcome(queue, lease, done).await,
        // What is kept could not be reached: no fault of the data.
        End::Failed(fault) if fault.kind == Kind::Unavailable => give_back(&queue.store, lease, PAUSE_MS).await,
        End::Failed(fault) => lease::end(&queue.store, lease, &failed(fault.problem())).await,
        End::Crashed(why) => crashed(&queue.store, lease, &why).await,
        End::Cancelled => lease::end(&queue.store, lease, &Progress::of(State::Cancelled)).await,
        End::Stopped => give_back(&queue.store, lease, 0).await,
        End::Lost => Ok(()),
    };
    if let Err(fault) = told {
        // The lease runs out and another worker does it again.
        tracing::warn!(check = lease.id, "the end of a check could not be written down: {}", fault.detail);
    }
    queue.news.notify_waiters();
}

async fn keep_outcome(queue: &Queue, lease: &Lease, done: Done) -> Outcome<()> {
    let object = format!("checks/{}", fresh_id());
    queue.store.objects.put(&object, vec![done.bytes]).await?;
    if finish(&queue.store, lease, &object, &done.parts).await? {
        return Ok(());
    }
    queue.store.objects.remove(&object).await
}

async fn work(queue: &Queue, lease: &Lease, lease_ms: i64, closing: &mut watch::Receiver<bool>) -> End {
    let settled = match Taken::read(&lease.asked).and_then(|r| r.settle(queue.limits.reading)) {
        Ok(settled) => settled,
        Err(fault) => return End::Failed(fault),
    };
    let (tell, mut told) = watch::channel(Progress::of(State::Running));
    let doing = queue.rooms.check(&queue.store, &lease.asked, &settled, &tell);
    tokio::pin!(doing);
    let beat = Duration::from_millis(u64::try_from(lease_ms / 4).unwrap_or(1).max(1)).min(Duration::from_secs(1));
    let mut last = tokio::time::Instant::now();
    let mut written = None;
    loop {
        let sign = async {
            tokio::select! {
                changed = told.changed() => if changed.is_err() { std::future::pending::<()>().await },
                () = tokio::time::sleep_until(last + beat) => {}
            }
            tokio::time::sleep_until(last + TELL.min(beat)).await;
        };
        tokio::select! {
            ended = &mut doing => return match ended {
                Ok(done) => End::Done(done),
                Err(Ended::Fault(fault)) => End::Failed(fault),
                Err(Ended::Crash(why)) => End::Crashed(why),
            },
            _ = closing.wait_for(|c| *c) => return End::Stopped,
            () = sign => {}
        }
        last = tokio::time::Instant::now();
        let progress = told.borrow_and_update().clone();
        let news = (written.as_ref() != Some(&progress)).then_some(&progress);
        match keep(&queue.store, lease, news, lease_ms).await {
            Ok(Word::GoOn) => queue.news.notify_waiters(),
            Ok(Word::Cancelled) => return End::Cancelled,
            Ok(Word::Lost) => return End::Lost,
            Err(fault) => tracing::warn!(check = lease.id, "a sign of life was not heard: {}", fault.detail),
        }
        written = Some(progress);
    }
}
