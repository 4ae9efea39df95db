//! What the program knows: profiles, rules, kinds of problem; and whether it is well.

use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderName, header};
use landgap_rules::capability::{Capability, Entry, EntryValue};
use landgap_rules::recognise::Recogniser;
use landgap_rules::rule::registry;
use serde::Serialize;
use serde_json::{Value, json};

use super::Service;
use crate::fault::{Fault, Kind, Outcome, TABLE};
use crate::profile;
use crate::wire::Um;
use crate::wire::codes::{CodeRow, table};

/// A constant JSON text.
#[must_use]
pub const fn json_text(text: &'static str) -> ([(HeaderName, &'static str); 1], &'static str) {
    ([(header::CONTENT_TYPE, "application/json")], text)
}

/// Whether records can be read and bytes be written.
pub async fn ready(State(service): State<Service>) -> Outcome<&'static str> {
    service.queue.store.is_ready().await?;
    Ok("ready\n")
}

/// The profiles that come with the program, with every limit and its source.
pub async fn capabilities() -> Json<Vec<Value>> {
    let known = Capability::names().into_iter().filter_map(Capability::named);
    Json(known.map(|c| capability(&c)).collect())
}

fn capability(capability: &Capability) -> Value {
    let name = profile::name_of(capability);
    json!({
        "name": name.name,
        "version": capability.values.version,
        "about": capability.values.about,
        "sha256": name.sha256,
        "limits": capability.entries().iter().map(entry).collect::<Vec<_>>(),
        "toml": capability.text,
    })
}

fn entry(entry: &Entry) -> Value {
    let mut out = json!({ "key": entry.key });
    match entry.value {
        EntryValue::Least(levels) => {
            out["preferred_um"] = json!(Um(levels.preferred));
            out["minimum_um"] = json!(Um(levels.minimum));
            out["special_um"] = json!(Um(levels.special));
        }
        EntryValue::Length(length) => out["value_um"] = json!(Um(length)),
        EntryValue::Most(preferred, maximum, special) => {
            // Thousandths, as the micrometres are thousandths of a millimetre: the same exact writing.
            out["preferred"] = json!(Um(preferred));
            out["maximum"] = json!(Um(maximum));
            out["special"] = json!(Um(special));
        }
    }
    out["source"] = json!(entry.source);
    out
}

/// A rule and its page.
#[derive(Debug, Serialize)]
pub struct RulePage {
    name: &'static str,
    group: &'static str,
    page: &'static str,
}

/// Every rule with its page.
pub async fn rules() -> Json<Vec<RulePage>> {
    Json(registry().iter().map(|r| RulePage { name: r.name, group: r.group.word(), page: r.page }).collect())
}

/// A recogniser and its page.
#[derive(Debug, Serialize)]
pub struct RecogniserPage {
    name: &'static str,
    finds: Vec<&'static str>,
    page: &'static str,
}

/// Every recogniser with its page.
pub async fn recognisers() -> Json<Vec<RecogniserPage>> {
    let page = |r: &Recogniser| RecogniserPage {
        name: r.name,
        finds: r.kinds.iter().map(|k| k.word()).collect(),
        page: r.page,
    };
    Json(landgap_rules::recognise::registry().iter().map(page).collect())
}

/// Every code a remark can have.
pub async fn remarks() -> Json<Vec<CodeRow>> {
    Json(table())
}

fn problem_row(row: &crate::fault::Row) -> Value {
    json!({
        "type": format!("/api/problems/{}", row.slug), "title": row.title, "status": row.status,
        "exit_code": row.exit, "advice": row.advice,
    })
}

/// Every kind of problem.
pub async fn problems() -> Json<Vec<Value>> {
    Json(TABLE.iter().map(problem_row).collect())
}

/// One kind of problem, at the address its `type` names.
pub async fn problem(Path(slug): Path<String>) -> Outcome<Json<Value>> {
    let row = TABLE.iter().find(|r| r.slug == slug);
    row.map(|r| Json(problem_row(r)))
        .ok_or_else(|| Fault::new(Kind::NotFound, format!("There is no kind of problem named {slug:?}.")))
}
