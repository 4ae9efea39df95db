//! Checks as long work: taken into the database, claimed by workers under a lease, at least once, with one effect.
//!
//! [`take`] puts a check in line; [`lease`] is what a worker may say about it; [`worker`] does the work in a
//! process apart.

pub mod lease;
pub mod take;
pub mod worker;

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::Notify;

use crate::apart::Rooms;
use crate::intake::Limits;
use crate::store::Store;

/// How often a worker looks for work that another process took in, and a watcher for news.
pub const LOOK: Duration = Duration::from_millis(400);

/// The queue of one process: the records are shared with the others, the bells are its own.
#[derive(Clone, Debug)]
pub struct Queue {
    /// What is kept.
    pub store: Store,
    /// Bounds on one check and on the queue.
    pub limits: Limits,
    /// Boards measured in processes apart.
    pub rooms: Rooms,
    /// Rung when a check was put in line here.
    pub work: Arc<Notify>,
    /// Rung when a check here has come further.
    pub news: Arc<Notify>,
}

impl Queue {
    /// The queue over what is kept.
    #[must_use]
    pub fn new(store: Store, limits: Limits, rooms: Rooms) -> Self {
        Self { store, limits, rooms, work: Arc::default(), news: Arc::default() }
    }

    /// Waits for news from this process, at most as long as those of another may take.
    pub async fn wait_for_news(&self) {
        let _ = tokio::time::timeout(LOOK, self.news.notified()).await;
    }
}
