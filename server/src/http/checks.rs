//! Checks: begun, watched, cancelled, read, judged again.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, RawQuery, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::Service;
use super::body::json;
use super::tagged::{Tagged, is_known};
use crate::fault::{Fault, Kind, Outcome};
use crate::figure::Face;
use crate::job::request::JudgeRequest;
use crate::job::work::Record;
use crate::job::{CheckRequest, Progress};
use crate::people::Caller;
use crate::store::checks::Known;
use crate::wire::Report;

/// A check as shown.
#[derive(Debug, Serialize)]
pub struct Shown {
    id: String,
    #[serde(flatten)]
    progress: Progress,
    #[serde(flatten)]
    record: Record,
    /// Put aside: it ended the program too often, and is not begun again by itself.
    quarantined: bool,
    links: Links,
}

#[derive(Debug, Serialize)]
struct Links {
    events: String,
    report: String,
    form: String,
    board: String,
    judge: String,
}

fn shown(id: &str, known: Known) -> Shown {
    let to = |what: &str| format!("/api/checks/{id}/{what}");
    let links = Links {
        events: to("events"),
        report: to("report"),
        form: to("form"),
        board: to("board.svg"),
        judge: to("judge"),
    };
    Shown { id: id.to_owned(), progress: known.progress, record: known.record, quarantined: known.quarantined, links }
}

/// Takes a check; 202 with the place to watch.
pub async fn begin(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    let request: CheckRequest = json(&body)?;
    service.expect_set(&caller, &request.data_set).await?;
    let id = service.queue.take(request).await?;
    let known = service.queue.known(&id).await?;
    let location = [(header::LOCATION, format!("/api/checks/{id}"))];
    Ok((StatusCode::ACCEPTED, location, Json(shown(&id, known))).into_response())
}

/// How far a check is.
pub async fn show(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Json<Shown>> {
    let known = service.check(&caller, &id).await?;
    Ok(Json(shown(&id, known)))
}

/// Begins a check once more that failed, was cancelled or was put aside.
pub async fn retry(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Response> {
    service.check(&caller, &id).await?;
    let known = service.queue.retry(&id).await?;
    Ok((StatusCode::ACCEPTED, Json(shown(&id, known))).into_response())
}

/// Calls a check off; the process that works on it is ended. A finished check stays.
pub async fn cancel(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Response> {
    service.check(&caller, &id).await?;
    let known = service.queue.cancel(&id).await?;
    Ok((StatusCode::ACCEPTED, Json(shown(&id, known))).into_response())
}

/// A part of a check, or "not modified" to who has it already.
async fn part(
    (service, caller): (&Service, &Caller),
    headers: &HeaderMap,
    id: &str,
    name: &str,
    absent: &str,
) -> Outcome<Response> {
    service.check(caller, id).await?;
    let store = &service.queue.store;
    let place = store.part_place(id, name, absent).await?;
    if is_known(headers, &place.sha256) {
        return Ok(Tagged::unchanged(&place.sha256));
    }
    let media = match name.rsplit('.').next() {
        Some("json") => "application/json",
        Some("svg") => "image/svg+xml",
        _ => "text/html; charset=utf-8",
    };
    let bytes = store.part_bytes(&place).await?;
    Ok(Tagged { media, tag: &place.sha256, bytes }.into_response())
}

/// The report as JSON.
pub async fn report(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    Path(id): Path<String>,
) -> Outcome<Response> {
    part((&service, &caller), &headers, &id, "report.json", "The report is not there.").await
}

/// The form to print.
pub async fn form(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    Path(id): Path<String>,
) -> Outcome<Response> {
    part((&service, &caller), &headers, &id, "form.html", "The form is not there.").await
}

/// The whole board from one side.
pub async fn board(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Outcome<Response> {
    let side = query.as_deref().and_then(|q| q.split('&').find_map(|p| p.strip_prefix("side="))).unwrap_or("top");
    let face = Face::BOTH
        .into_iter()
        .find(|f| f.word() == side)
        .ok_or_else(|| Fault::new(Kind::BadRequest, format!("side={side}: expected side=top or side=bottom.")))?;
    part((&service, &caller), &headers, &id, &format!("board-{}.svg", face.word()), "The picture is not there.").await
}

/// The dimensioned detail of one query, by its number.
pub async fn figure(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    Path((id, figure)): Path<(String, String)>,
) -> Outcome<Response> {
    let number = figure.strip_suffix(".svg").and_then(|n| n.parse::<u32>().ok()).ok_or_else(|| {
        Fault::new(Kind::NotFound, format!("{figure:?} is no figure; expected the number of a query and .svg."))
    })?;
    let absent = format!(
        "Query {number} of this check has no figure: there is no such query, or it is about the set as a whole."
    );
    part((&service, &caller), &headers, &id, &format!("figure-{number}.svg"), &absent).await
}

/// A report with the id of the check it belongs to.
#[derive(Debug, Serialize)]
struct Judged {
    id: String,
    #[serde(flatten)]
    report: Report,
}

/// Judges a measured board again, against another profile or order. The outcome is a check of its own,
/// with its own figures and form, under the id in the answer.
pub async fn judge(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
    body: Bytes,
) -> Outcome<Response> {
    let request: JudgeRequest = if body.is_empty() { JudgeRequest::default() } else { json(&body)? };
    service.check(&caller, &id).await?;
    let id = service.queue.judge(&id, request).await?;
    let text = service.queue.store.check_bytes(&id, "report.json").await?;
    let report =
        serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("The stored report: {e}.")))?;
    let location = [(header::CONTENT_LOCATION, format!("/api/checks/{id}/report"))];
    Ok((location, Json(Judged { id, report })).into_response())
}
