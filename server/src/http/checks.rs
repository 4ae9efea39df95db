//! Checks: begun, watched, cancelled, read, judged again.

use std::sync::Arc;

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Path, RawQuery, State};
use axum::http::{HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Serialize;

use super::Service;
use super::body::{blocking, json};
use crate::fault::{Fault, Kind, Outcome};
use crate::figure::Face;
use crate::job::desk::Known;
use crate::job::request::JudgeRequest;
use crate::job::work::Record;
use crate::job::{CheckRequest, Progress};
use crate::wire::Report;

/// A check as shown.
#[derive(Debug, Serialize)]
pub struct Shown {
    id: String,
    #[serde(flatten)]
    progress: Progress,
    #[serde(flatten)]
    record: Record,
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
    Shown { id: id.to_owned(), progress: known.progress, record: known.record, links }
}

/// Takes a check; 202 with the place to watch.
pub async fn begin(State(service): State<Service>, body: Bytes) -> Outcome<Response> {
    let request: CheckRequest = json(&body)?;
    let id = service.desk.take(request)?;
    let known = service.desk.known(&id)?;
    let location = [(header::LOCATION, format!("/api/checks/{id}"))];
    Ok((StatusCode::ACCEPTED, location, Json(shown(&id, known))).into_response())
}

/// How far a check is.
pub async fn show(State(service): State<Service>, Path(id): Path<String>) -> Outcome<Json<Shown>> {
    let known = service.desk.known(&id)?;
    Ok(Json(shown(&id, known)))
}

/// Asks a check to leave off at its next stage. A finished check stays.
pub async fn cancel(State(service): State<Service>, Path(id): Path<String>) -> Outcome<Response> {
    let known = service.desk.cancel(&id)?;
    Ok((StatusCode::ACCEPTED, Json(shown(&id, known))).into_response())
}

type Typed = ([(HeaderName, &'static str); 2], Vec<u8>);

fn typed(media: &'static str, bytes: Vec<u8>) -> Typed {
    ([(header::CONTENT_TYPE, media), (header::CACHE_CONTROL, "no-cache")], bytes)
}

/// The report as JSON.
pub async fn report(State(service): State<Service>, Path(id): Path<String>) -> Outcome<Typed> {
    Ok(typed("application/json", service.desk.part(&id, "report.json", "The report is not there.")?))
}

/// The form to print.
pub async fn form(State(service): State<Service>, Path(id): Path<String>) -> Outcome<Typed> {
    Ok(typed("text/html; charset=utf-8", service.desk.part(&id, "form.html", "The form is not there.")?))
}

/// The whole board from one side.
pub async fn board(
    State(service): State<Service>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Outcome<Typed> {
    let side = query.as_deref().and_then(|q| q.split('&').find_map(|p| p.strip_prefix("side="))).unwrap_or("top");
    let face = Face::BOTH
        .into_iter()
        .find(|f| f.word() == side)
        .ok_or_else(|| Fault::new(Kind::BadRequest, format!("side={side}: expected side=top or side=bottom.")))?;
    let name = format!("board-{}.svg", face.word());
    Ok(typed("image/svg+xml", service.desk.part(&id, &name, "The picture is not there.")?))
}

/// The dimensioned detail of one query, by its number.
pub async fn figure(State(service): State<Service>, Path((id, figure)): Path<(String, String)>) -> Outcome<Typed> {
    let number = figure.strip_suffix(".svg").and_then(|n| n.parse::<u32>().ok()).ok_or_else(|| {
        Fault::new(Kind::NotFound, format!("{figure:?} is no figure; expected the number of a query and .svg."))
    })?;
    let missing = format!(
        "Query {number} of this check has no figure: there is no such query, or it is about the set as a whole."
    );
    Ok(typed("image/svg+xml", service.desk.part(&id, &format!("figure-{number}.svg"), &missing)?))
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
pub async fn judge(State(service): State<Service>, Path(id): Path<String>, body: Bytes) -> Outcome<Response> {
    let request: JudgeRequest = if body.is_empty() { JudgeRequest::default() } else { json(&body)? };
    let desk = Arc::clone(&service.desk);
    let (id, text) = blocking(move || desk.judge(&id, request)).await?;
    let report =
        serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("The stored report: {e}.")))?;
    let location = [(header::CONTENT_LOCATION, format!("/api/checks/{id}/report"))];
    Ok((location, Json(Judged { id, report })).into_response())
}
