//! Data sets: uploaded once, kept by content.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Json;
use axum::extract::multipart::{Field, Multipart, MultipartError, MultipartRejection};
use axum::extract::{Path as UrlPath, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use tokio::fs::File;
use tokio::io::AsyncWriteExt;

use super::Service;
use super::body::blocking;
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::limits::within;
use crate::intake::refused::Refused;
use crate::intake::{self, Limits};
use crate::job::store::Manifest;

/// Field of an upload that lists what the sending program left out.
pub const REFUSED: &str = "refused";
/// Longest such list, in bytes.
const LONGEST_LIST: usize = 4 << 20;

/// Takes a multipart form whose parts with a file name are the files of the set.
pub async fn upload(
    State(service): State<Service>,
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
    let aside = service.desk.store.aside()?;
    let (parts, refused) = receive(form, &aside.path, &service.limits).await?;
    let (desk, limits) = (Arc::clone(&service.desk), service.limits);
    // `aside` goes into the closure so that the parts live until they have been read.
    let manifest = blocking(move || {
        let set = intake::from_sent(&parts, refused, limits);
        drop(aside);
        desk.store.keep_set(&set?)
    })
    .await?;
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
pub async fn show(State(service): State<Service>, UrlPath(id): UrlPath<String>) -> Outcome<Json<Manifest>> {
    service.desk.store.manifest(&id).map(Json)
}
