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
use crate::intake::limits::megabytes;
use crate::intake::{self, Limits};
use crate::job::store::Manifest;

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
    let parts = receive(form, &aside.path, &service.limits).await?;
    let (desk, limits) = (Arc::clone(&service.desk), service.limits);
    // `aside` goes into the closure so that the parts live until they have been read.
    let manifest = blocking(move || {
        let set = intake::from_sent(&parts, limits);
        drop(aside);
        desk.store.keep_set(&set?)
    })
    .await?;
    let location = format!("/api/data-sets/{}", manifest.id);
    Ok((StatusCode::CREATED, [(header::LOCATION, location)], Json(manifest)).into_response())
}

async fn receive(mut form: Multipart, folder: &Path, limits: &Limits) -> Outcome<Vec<(String, PathBuf)>> {
    let mut parts = Vec::new();
    let mut received = 0;
    while let Some(mut field) = form.next_field().await.map_err(broken)? {
        // A page's file field that was left empty comes as a part with an empty name.
        let Some(name) = field.file_name().filter(|n| !n.is_empty()).map(str::to_owned) else { continue };
        if parts.len() as u64 >= limits.entries {
            return Err(Fault::new(Kind::TooLarge, format!("More than {} files were sent.", limits.entries)));
        }
        let path = folder.join(format!("part-{}", parts.len()));
        save(&mut field, &path, &mut received, limits).await?;
        parts.push((name, path));
    }
    Ok(parts)
}

async fn save(field: &mut Field<'_>, path: &Path, received: &mut u64, limits: &Limits) -> Outcome<()> {
    let storage = |e: std::io::Error| Fault::storage("a file being received", &e);
    let mut file = File::create(path).await.map_err(storage)?;
    while let Some(piece) = field.chunk().await.map_err(broken)? {
        *received += piece.len() as u64;
        if *received > limits.packed {
            let most = megabytes(limits.packed);
            return Err(Fault::new(Kind::TooLarge, format!("More than {most} were sent; nothing was kept.")));
        }
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
