//! Forms, their logs, and the links to answer them by.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use landgap_rules::query::life::{self, Actor, Role};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json as object};

use super::Service;
use super::acts::word_of;
use super::body::json;
use super::pages::{Asked, Page, page};
use super::parts::seen as seen_part;
use crate::fault::{Fault, Kind, Outcome};
use crate::job::work::{FOUND, FoundLine};
use crate::people::Caller;
use crate::people::links::AnswerLink;
use crate::store::forms::{Form, Line, LogEntry, NewLine};
use crate::store::now;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FormSent {
    revision: String,
    check: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LinkSent {
    made_for: String,
    #[serde(default = "month")]
    days: i64,
}

const fn month() -> i64 {
    30
}

/// A form with its lines.
#[derive(Debug, Serialize)]
pub struct Whole {
    #[serde(flatten)]
    form: Form,
    lines: Vec<Line>,
}

/// A link with its word, given once.
#[derive(Debug, Serialize)]
struct LinkGiven {
    #[serde(flatten)]
    link: AnswerLink,
    /// Goes behind `/api/answers/`.
    word: String,
}

/// A form the caller may see.
pub async fn seen(service: &Service, caller: &Caller, id: &str) -> Outcome<Form> {
    let absent = || Fault::new(Kind::NotFound, format!("There is no form {id}."));
    let form = service.queue.store.form(id).await?;
    seen_part(service, caller, &form.part_id).await.map_err(|f| if f.kind == Kind::NotFound { absent() } else { f })?;
    Ok(form)
}

/// Forms, newest first.
pub async fn list(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Query(asked): Query<Asked>,
) -> Outcome<Json<Page<Form>>> {
    caller.expect_known()?;
    let limit = asked.limit()?;
    let store = &service.queue.store;
    let forms = store.forms(caller.owner.as_deref(), asked.part.as_deref(), asked.after(), limit + 1).await?;
    Ok(page(forms, limit, |f| f.id.clone()))
}

/// Makes a form from a finished check: one line a query, in the state "found".
pub async fn make(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    let sent: FormSent = json(&body)?;
    let store = &service.queue.store;
    let revision = store.revision(&sent.revision).await?;
    seen_part(&service, &caller, &revision.part_id).await?;
    let check = service.check(&caller, &sent.check).await?;
    if check.record.data_set != revision.data_set_id {
        return Err(Fault::new(Kind::Conflict, "check: it was made on another data set than the revision's."));
    }
    let text = store.check_bytes(&sent.check, "report.json").await?;
    let report: Value =
        serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::Storage, format!("The stored report: {e}.")))?;
    let found = store.check_bytes(&sent.check, FOUND).await?;
    let found: Vec<FoundLine> =
        serde_json::from_slice(&found).map_err(|e| Fault::new(Kind::Storage, format!("The stored lines: {e}.")))?;
    let machine = Actor { name: "landgap".to_owned(), role: Role::Machine };
    let mut lines = Vec::new();
    for (number, found) in (1..).zip(found) {
        let line = life::Line::found(number, found.into(), &revision.data_set_id, &machine, now() / 1000)
            .map_err(|r| Fault::new(Kind::Conflict, r.to_string()))?;
        lines.push(NewLine {
            state: word_of(&line.state),
            severity: word_of(&line.severity),
            rule: line.rule.clone(),
            body: serde_json::to_value(&line).unwrap_or_default(),
        });
    }
    let head = object!({ "capability": report["capability"], "assumptions": report["assumptions"], "cautions": report["cautions"] });
    let ids = (revision.part_id.as_str(), revision.id.as_str(), sent.check.as_str());
    let form = store.make_form(ids, &head, &lines, &caller.actor).await?;
    let location = format!("/api/forms/{}", form.id);
    let lines = store.lines(&form.id).await?;
    Ok((StatusCode::CREATED, [(header::LOCATION, location)], Json(Whole { form, lines })).into_response())
}

/// One form with its lines.
pub async fn show(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Json<Whole>> {
    let form = seen(&service, &caller, &id).await?;
    let lines = service.queue.store.lines(&form.id).await?;
    Ok(Json(Whole { form, lines }))
}

/// The log of a form, oldest first.
pub async fn log(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Outcome<Json<Page<LogEntry>>> {
    let form = seen(&service, &caller, &id).await?;
    let limit = asked.limit()?;
    let after = asked.after().parse().unwrap_or(0);
    Ok(page(service.queue.store.form_log(&form.id, after, limit + 1).await?, limit, |e| e.entry.to_string()))
}

/// The links of a form, without their words.
pub async fn links(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Json<Page<AnswerLink>>> {
    let form = seen(&service, &caller, &id).await?;
    Ok(page(service.queue.store.links(&form.id).await?, i64::MAX, |l| l.id.clone()))
}

/// Makes a link to answer the form by.
pub async fn make_link(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
    body: Bytes,
) -> Outcome<Response> {
    let form = seen(&service, &caller, &id).await?;
    let sent: LinkSent = json(&body)?;
    let (link, word) = service.queue.store.make_link(&form.id, &sent.made_for, sent.days, &caller.actor).await?;
    Ok((StatusCode::CREATED, [(header::CACHE_CONTROL, "no-store")], Json(LinkGiven { link, word })).into_response())
}

/// Calls a link back.
pub async fn revoke_link(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path((id, link)): Path<(String, String)>,
) -> Outcome<StatusCode> {
    let form = seen(&service, &caller, &id).await?;
    service.queue.store.revoke_link(&form.id, &link, &caller.actor).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// What a link to answer by leads to.
pub async fn answers(State(service): State<Service>, Path(word): Path<String>) -> Outcome<Response> {
    let store = &service.queue.store;
    let link = store.link(&word).await?;
    let form = store.form(&link.form_id).await?;
    let lines = store.lines(&form.id).await?;
    Ok(([(header::CACHE_CONTROL, "no-store")], Json(Whole { form, lines })).into_response())
}
