//! Reads files and walks folders on disk. What lies in a folder and cannot be taken is noted, and the
//! rest is read; what the user named must be there.

use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::os::unix::ffi::OsStrExt;
use std::path::{Path, PathBuf};

use super::archive::{self, HEAD, Within};
use super::collect::Collector;
use super::name;
use super::refused::Refused;
use crate::fault::{Fault, Kind, Outcome};

/// Takes a folder, archive or file named by the user; `several` puts a folder's name before its files.
pub fn take_path(collector: &mut Collector, path: &Path, several: bool) -> Outcome<()> {
    let shown = path.display().to_string();
    let meta = fs::metadata(path).map_err(|e| unreadable(&shown, &e))?;
    let own = path.file_name().map_or_else(String::new, |n| name::shown(n.as_bytes()));
    if meta.is_dir() {
        let prefix = if several && !own.is_empty() { format!("{own}/") } else { String::new() };
        let list = entries(path).map_err(|e| unreadable(&shown, &e))?;
        return walk(collector, list, &prefix, 0);
    }
    take_sent(collector, path, &own)
}

/// Takes one file, sent or named by the user, under a shown path.
pub fn take_sent(collector: &mut Collector, path: &Path, own: &str) -> Outcome<()> {
    collector.meter.entry()?;
    let done = take_file(collector, path, own, "", 0);
    done.or_else(|fault| collector.refuse_or_stop(Refused::new(own, fault)))
}

/// Takes one file on disk. The archives among them are unpacked as they are read, not held in memory.
fn take_file(collector: &mut Collector, path: &Path, own: &str, prefix: &str, depth: u64) -> Outcome<()> {
    // Asked before opening: opening a pipe would wait for whoever writes to it.
    let plain = fs::metadata(path).map_err(|e| cannot(&e))?;
    if !plain.is_file() {
        return Err(Fault::new(Kind::RefusedEntry, "it is no plain file"));
    }
    collector.meter.sent(plain.len())?;
    let mut file = File::open(path).map_err(|e| cannot(&e))?;
    let mut head = Vec::new();
    file.by_ref().take(HEAD as u64).read_to_end(&mut head).map_err(|e| cannot(&e))?;
    archive::rewind(&mut file)?;
    match archive::packing(&head) {
        Some(packing) => archive::unpack(collector, Within { own, prefix, depth }, packing, file, plain.len()),
        None => {
            let bytes = collector.copy(&mut file, Some(plain.len()))?;
            collector.keep(own, bytes);
            Ok(())
        }
    }
}

fn walk(collector: &mut Collector, list: Vec<(String, PathBuf)>, prefix: &str, depth: u64) -> Outcome<()> {
    for (own, path) in list {
        if name::is_litter(&own) {
            continue;
        }
        collector.meter.entry()?;
        let own = format!("{prefix}{own}");
        let done = take_inside(collector, &path, &own, depth);
        done.or_else(|fault| collector.refuse_or_stop(Refused::new(own, fault)))?;
    }
    Ok(())
}

fn entries(folder: &Path) -> io::Result<Vec<(String, PathBuf)>> {
    let mut list = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        list.push((name::shown(entry.file_name().as_bytes()), entry.path()));
    }
    list.sort();
    Ok(list)
}

fn take_inside(collector: &mut Collector, path: &Path, own: &str, depth: u64) -> Outcome<()> {
    let meta: Metadata = fs::symlink_metadata(path).map_err(|e| cannot(&e))?;
    if meta.is_symlink() {
        return Err(Fault::new(Kind::RefusedEntry, "it is a link to another file"));
    }
    let inside = format!("{own}/");
    if meta.is_dir() {
        collector.meter.folder(depth + 1)?;
        let list = entries(path).map_err(|e| cannot(&e))?;
        return walk(collector, list, &inside, depth + 1);
    }
    // A zip that lies in a folder counts as one level of packing, as a zip in a zip does.
    take_file(collector, path, own, &inside, 1)
}

fn unreadable(shown: &str, error: &io::Error) -> Fault {
    Fault::new(Kind::UnreadablePath, format!("{shown}: {error}."))
}

fn cannot(error: &io::Error) -> Fault {
    Fault::new(Kind::UnreadablePath, format!("it cannot be read: {error}"))
}
