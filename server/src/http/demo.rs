//! Demo boards: folders or zips of one folder, taken in when the service starts.

use std::fs;
use std::path::{Path, PathBuf};

use axum::Json;
use axum::extract::State;
use serde::Serialize;
use serde_json::{Value, json};

use super::Service;
use crate::fault::{Fault, Outcome};
use crate::intake::{self, Limits};
use crate::people::caller::{HOUSE, OPEN};
use crate::store::Store;

/// One demo board.
#[derive(Clone, Debug, Serialize)]
pub struct DemoSet {
    /// Its data set.
    pub id: String,
    /// What it is called.
    pub title: String,
}

/// Takes in every folder and zip of `folder`.
pub async fn take_in(store: &Store, folder: &Path, limits: Limits) -> Outcome<Vec<DemoSet>> {
    let mut sets = Vec::new();
    for path in boards(folder)? {
        let set = intake::from_paths(std::slice::from_ref(&path), limits)?;
        let id = set.id.clone();
        store.keep_set(set.clone(), HOUSE, "start").await?;
        store.keep_set(set, OPEN, "start").await?;
        sets.push(DemoSet { id, title: title(&path) });
    }
    Ok(sets)
}

fn boards(folder: &Path) -> Outcome<Vec<PathBuf>> {
    let failed = |e: std::io::Error| Fault::storage(folder.display(), &e);
    let mut paths = Vec::new();
    for entry in fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.is_dir() || path.extension().is_some_and(|e| e == "zip") {
            paths.push(path);
        }
    }
    paths.sort();
    Ok(paths)
}

/// "Buoy logger" for `buoy-logger`.
fn title(path: &Path) -> String {
    let name = path.file_stem().map_or_else(String::new, |n| n.to_string_lossy().replace(['-', '_'], " "));
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().to_string() + letters.as_str())
}

/// The demo boards.
pub async fn list(State(service): State<Service>) -> Json<Value> {
    Json(json!({ "data_sets": *service.demo }))
}
