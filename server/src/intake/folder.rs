//! Reads files and walks folders on disk, links refused.

use std::fs::{self, File};
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

use super::collect::Collector;
use super::name;
use crate::fault::{Fault, Kind, Outcome};

/// Takes a folder, zip or file named by the user; `several` puts a folder's name before its files.
pub fn take_path(collector: &mut Collector, path: &Path, several: bool) -> Outcome<()> {
    let shown = path.display().to_string();
    let meta = fs::metadata(path).map_err(|e| unreadable(&shown, &e))?;
    let own = path.file_name().map_or_else(String::new, |n| name::shown(n.as_bytes()));
    if meta.is_dir() {
        let prefix = if several && !own.is_empty() { format!("{own}/") } else { String::new() };
        return walk(collector, path, &prefix, 0);
    }
    collector.meter.entry(&shown)?;
    take_file(collector, path, &shown, &own)
}

/// Takes one file on disk under a shown path.
pub fn take_file(collector: &mut Collector, path: &Path, shown: &str, as_path: &str) -> Outcome<()> {
    let mut file = File::open(path).map_err(|e| unreadable(shown, &e))?;
    if !file.metadata().is_ok_and(|m| m.is_file()) {
        return Err(Fault::new(Kind::RefusedEntry, format!("{shown} is not a plain file.")));
    }
    let bytes = collector
        .copy(shown, &mut file)
        .map_err(|e| e.or(|why| Fault::new(Kind::UnreadablePath, format!("{shown}: {why}."))))?;
    collector.take(shown, as_path, bytes, 0)
}

fn walk(collector: &mut Collector, folder: &Path, prefix: &str, depth: u32) -> Outcome<()> {
    let shown = folder.display().to_string();
    if depth > collector.meter.limits().folders {
        return Err(Fault::new(Kind::TooLarge, format!("{shown} lies more than {} folders deep.", depth - 1)));
    }
    for (own, path) in entries(&shown, folder)? {
        if name::is_litter(&own) {
            continue;
        }
        collector.meter.entry(&shown)?;
        take_inside(collector, &path, &format!("{prefix}{own}"), depth)?;
    }
    Ok(())
}

fn entries(shown: &str, folder: &Path) -> Outcome<Vec<(String, PathBuf)>> {
    let mut list = Vec::new();
    for entry in fs::read_dir(folder).map_err(|e| unreadable(shown, &e))? {
        let entry = entry.map_err(|e| unreadable(shown, &e))?;
        list.push((name::shown(entry.file_name().as_bytes()), entry.path()));
    }
    list.sort();
    Ok(list)
}

fn take_inside(collector: &mut Collector, path: &Path, as_path: &str, depth: u32) -> Outcome<()> {
    let shown = path.display().to_string();
    let meta = fs::symlink_metadata(path).map_err(|e| unreadable(&shown, &e))?;
    if meta.is_symlink() {
        return Err(Fault::new(Kind::RefusedEntry, format!("{shown} is a link to another file.")));
    }
    if meta.is_dir() {
        return walk(collector, path, &format!("{as_path}/"), depth + 1);
    }
    // A zip that lies in a folder counts as one level of packing, as a zip in a zip does.
    let mut file = File::open(path).map_err(|e| unreadable(&shown, &e))?;
    let bytes = collector
        .copy(&shown, &mut file)
        .map_err(|e| e.or(|why| Fault::new(Kind::UnreadablePath, format!("{shown}: {why}."))))?;
    collector.take(&shown, as_path, bytes, 1)
}

fn unreadable(shown: &str, error: &std::io::Error) -> Fault {
    Fault::new(Kind::UnreadablePath, format!("{shown}: {error}."))
}
