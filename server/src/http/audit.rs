//! The audit log, read and verified.

use axum::Json;
use axum::extract::{Query, State};
use serde::Serialize;

use super::Service;
use super::pages::{Asked, Page, page};
use crate::fault::Outcome;
use crate::store::audit::Kept;

/// The chain, followed to its end.
#[derive(Debug, Serialize)]
pub struct Chain {
    entries: i64,
    last_hash: String,
}

/// Entries in order; `after` is the number of the last one seen.
pub async fn list(State(service): State<Service>, Query(asked): Query<Asked>) -> Outcome<Json<Page<Kept>>> {
    let limit = asked.limit()?;
    let after = asked.after().parse().unwrap_or(0);
    Ok(page(service.queue.store.audit_after(after, limit + 1).await?, limit, |e| e.seq.to_string()))
}

/// Follows the whole chain; a broken one is a problem that names the entry.
pub async fn chain(State(service): State<Service>) -> Outcome<Json<Chain>> {
    let (entries, last_hash) = service.queue.store.audit_verified().await?;
    Ok(Json(Chain { entries, last_hash }))
}
