//! Parts and their revisions.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};

use super::Service;
use super::body::json;
use super::pages::{Asked, Page, page};
use crate::fault::{Fault, Kind, Outcome};
use crate::people::Caller;
use crate::people::accounts::plain;
use crate::store::parts::{Part, Revision};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PartSent {
    number: String,
    title: String,
    /// Whose it is; the shop names a customer, a customer's own need not.
    #[serde(default)]
    customer_id: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RevisionSent {
    name: String,
    data_set: String,
}

/// A part with its revisions.
#[derive(Debug, Serialize)]
pub struct Whole {
    #[serde(flatten)]
    part: Part,
    revisions: Vec<Revision>,
}

/// A part the caller may see.
pub async fn seen(service: &Service, caller: &Caller, id: &str) -> Outcome<Part> {
    let part = service.queue.store.part(id).await?;
    caller.expect_sees(&part.owner, Fault::new(Kind::NotFound, format!("There is no part {id}.")))?;
    Ok(part)
}

/// Parts, newest first.
pub async fn list(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Query(asked): Query<Asked>,
) -> Outcome<Json<Page<Part>>> {
    caller.expect_known()?;
    let limit = asked.limit()?;
    let parts = service.queue.store.parts(caller.owner.as_deref(), asked.after(), limit + 1).await?;
    Ok(page(parts, limit, |p| p.id.clone()))
}

/// Makes a part.
pub async fn make(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    caller.expect_known()?;
    let sent: PartSent = json(&body)?;
    let owner = sent.customer_id.as_deref().unwrap_or_else(|| caller.sends_for());
    caller.expect_sees(owner, Fault::new(Kind::NotAllowed, "customer_id: a customer makes parts of its own alone."))?;
    let (number, title) = (plain("number", &sent.number, 100)?, plain("title", &sent.title, 200)?);
    let part = service.queue.store.make_part(owner, &number, &title).await?;
    let location = format!("/api/parts/{}", part.id);
    Ok((StatusCode::CREATED, [(header::LOCATION, location)], Json(part)).into_response())
}

/// One part with its revisions.
pub async fn show(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Json<Whole>> {
    let part = seen(&service, &caller, &id).await?;
    let revisions = service.queue.store.revisions(&part.id).await?;
    Ok(Json(Whole { part, revisions }))
}

/// Adds a revision: a name and the data set that was sent for it.
pub async fn add_revision(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
    body: Bytes,
) -> Outcome<Response> {
    let sent: RevisionSent = json(&body)?;
    let part = seen(&service, &caller, &id).await?;
    service.expect_set(&caller, &sent.data_set).await?;
    service.queue.store.manifest(&sent.data_set).await?;
    let revision = service.queue.store.add_revision(&part.id, &plain("name", &sent.name, 100)?, &sent.data_set).await?;
    Ok((StatusCode::CREATED, Json(revision)).into_response())
}
