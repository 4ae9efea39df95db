//! Data sets: uploaded once, kept by content.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Json;
use axum::extract::multipart::{Field, Multipart, MultipartError, MultipartRejection};
use axum::extract::{Extension, Path as UrlPath, Query, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tokio::fs::File;
use tokio::io::AsyncWriteExt;

use super::Service;
use super::body::blocking;
use super::pages::{Asked, Page, page};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::limits::within;
use crate::intake::refused::Refused;
use crate::intake::{self, Limits};
use crate::people::Caller;
use crate::store::Manifest;
use crate::store::data_sets::{Erased, Held, whole_id};

/// Field of an upload that lists what the sending program left out.
pub const REFUSED: &str = "refused";
/// Longest such list, in bytes.
const LONGEST_LIST: usize = 4 << 20;

/// Takes a multipart form whose parts with a file name are the files of the set.
pub async fn upload(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    headers: HeaderMap,
    form: Result<Multipart, MultipartRejection>,
) -> Outcome<Response> {
    let form = form.map_err(|e| Fault::new(Kind::BadRequest, e.body_text()))?;
    // A form without parts may have no body at all, which the form reader would call broken.
    if headers.get(header::CONTENT_LENGTH).is_some_and(|l| l == "0") {
        return Err(Fault::new(Kind::EmptyData, "No file was found in what was sent."));
    }
    let Ok(_turn) = Arc::clone(&service.intake).try_acquire_owned() else {
        return Err(Fault::new(Kind::Busy, "Several data sets are being taken in already."));
    };
    let aside = service.queue.store.scratch.aside()?;
    let (parts, refused) = receive(form, &aside.path, &service.limits).await?;
    let limits = service.limits;
    // `aside` goes into the closure so that the parts live until they have been read.
    let set = blocking(move || {
        let set = intake::from_sent(&parts, refused, limits);
        drop(aside);
        set
    })
    .await?;
    let manifest = service.queue.store.keep_set(set, caller.sends_for(), &caller.actor).await?;
    let location = format!("/api/data-sets/{}", manifest.id);
    Ok((StatusCode::CREATED, [(header::LOCATION, location)], Json(manifest)).into_response())
}

/// The files saved, with the names they were sent under, and what the sender had left out already.
type Received = (Vec<(String, PathBuf)>, Vec<Refused>);

async fn receive(mut form: Multipart, folder: &Path, limits: &Limits) -> Outcome<Received> {
    let mut parts = Vec::new();
    let mut refused = Vec::new();
    let mut received = 0;
    while let Some(mut field) = form.next_field().await.map_err(broken)? {
        if field.file_name().is_none() && field.name() == Some(REFUSED) {
            refused = left_out(&mut field).await?;
            continue;
        }
        // A page's file field that was left empty comes as a part with an empty name.
        let Some(name) = field.file_name().filter(|n| !n.is_empty()).map(str::to_owned) else { continue };
        within("entries", limits.entries, parts.len() as u64 + 1)?;
        let path = folder.join(format!("part-{}", parts.len()));
        save(&mut field, &path, &mut received, limits).await?;
        parts.push((name, path));
    }
    Ok((parts, refused))
}

/// The list of entries a sending program left out, as JSON.
async fn left_out(field: &mut Field<'_>) -> Outcome<Vec<Refused>> {
    let mut text = Vec::new();
    while let Some(piece) = field.chunk().await.map_err(broken)? {
        text.extend_from_slice(&piece);
        if text.len() > LONGEST_LIST {
            return Err(Fault::new(Kind::BadRequest, format!("The field {REFUSED:?} is longer than 4 MiB.")));
        }
    }
    serde_json::from_slice(&text).map_err(|e| Fault::new(Kind::BadRequest, format!("The field {REFUSED:?}: {e}.")))
}

async fn save(field: &mut Field<'_>, path: &Path, received: &mut u64, limits: &Limits) -> Outcome<()> {
    let storage = |e: std::io::Error| Fault::storage("a file being received", &e);
    let mut file = File::create(path).await.map_err(storage)?;
    while let Some(piece) = field.chunk().await.map_err(broken)? {
        *received += piece.len() as u64;
        within("packed", limits.packed, *received)?;
        file.write_all(&piece).await.map_err(storage)?;
    }
    file.flush().await.map_err(storage)
}

fn broken(error: MultipartError) -> Fault {
    let kind = if error.status() == StatusCode::PAYLOAD_TOO_LARGE { Kind::TooLarge } else { Kind::BadRequest };
    Fault::new(kind, format!("The upload broke off: {}. Nothing was kept.", error.body_text()))
}

/// What a stored set holds.
pub async fn show(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    UrlPath(id): UrlPath<String>,
) -> Outcome<Json<Manifest>> {
    service.expect_set(&caller, &id).await?;
    service.queue.store.manifest(&id).await.map(Json)
}

/// Sets, newest first.
pub async fn list(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Query(asked): Query<Asked>,
) -> Outcome<Json<Page<Held>>> {
    caller.expect_known()?;
    let limit = asked.limit()?;
    let before = asked.after().split_once('-').and_then(|(at, id)| Some((at.parse().ok()?, id.to_owned())));
    let sets = service.queue.store.held(caller.owner.as_deref(), before, limit + 1).await?;
    Ok(page(sets, limit, |s| format!("{}-{}", s.created_at, s.id)))
}

/// Whose copy is to be deleted.
#[derive(Debug, Default, serde::Deserialize)]
pub struct Whose {
    owner: Option<String>,
}

/// Deletes what an owner holds of a set: with the last holder its files, checks and forms go; the audit log
/// keeps that it was so.
pub async fn erase(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    UrlPath(id): UrlPath<String>,
    Query(whose): Query<Whose>,
) -> Outcome<Json<Erased>> {
    let owner = whose.owner.as_deref().unwrap_or_else(|| caller.sends_for());
    let erased = service.queue.store.erase_set(&id, owner, &caller.actor).await?;
    service.queue.rooms.forget(&whole_id(&id)?);
    Ok(Json(erased))
}
