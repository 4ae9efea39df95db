//! Unpacks a zip in memory, metered, without trusting a word it says of itself.

use std::io::{Cursor, Read};

use zip::ZipArchive;

use super::collect::Collector;
use super::name;
use crate::fault::{Fault, Kind, Outcome};

/// What kind of archive some bytes are, if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// A zip, which is read.
    Zip,
    /// Another kind, by its name.
    Unread(&'static str),
}

/// Tells an archive by its first bytes.
#[must_use]
pub fn packing(bytes: &[u8]) -> Option<Packing> {
    const UNREAD: [(&[u8], &str); 6] = [
        (b"\x1f\x8b", "gzip"),
        (b"7z\xBC\xAF\x27\x1C", "7z"),
        (b"Rar!\x1a\x07", "rar"),
        (b"\xFD7zXZ\0", "xz"),
        (b"BZh", "bzip2"),
        (b"\x28\xB5\x2F\xFD", "zstd"),
    ];
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") || bytes.starts_with(b"PK\x07\x08") {
        return Some(Packing::Zip);
    }
    if bytes.get(257..262) == Some(b"ustar") {
        return Some(Packing::Unread("tar"));
    }
    UNREAD.iter().find(|(magic, _)| bytes.starts_with(magic)).map(|(_, n)| Packing::Unread(n))
}

/// Unpacks `bytes` into the collector; `shown` is the archive's name, `prefix` goes before its entries.
pub fn unpack(collector: &mut Collector, shown: &str, prefix: &str, bytes: &[u8], depth: u32) -> Outcome<()> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| broken(shown, &e.to_string()))?;
    if archive.len() as u64 > collector.meter.limits().entries {
        let limit = collector.meter.limits().entries;
        return Err(Fault::new(Kind::TooLarge, format!("{shown} holds more than {limit} entries; nothing was kept.")));
    }
    if archive.has_overlapping_files().map_err(|e| broken(shown, &e.to_string()))? {
        return Err(broken(shown, "several of its entries share the same bytes"));
    }
    for index in 0..archive.len() {
        let entry = archive.by_index(index).map_err(|e| broken(shown, &e.to_string()))?;
        take_entry(collector, shown, prefix, entry, depth)?;
    }
    Ok(())
}

fn take_entry<R: Read>(
    collector: &mut Collector,
    shown: &str,
    prefix: &str,
    mut entry: zip::read::ZipFile<'_, R>,
    depth: u32,
) -> Outcome<()> {
    let own = name::shown(entry.name_raw());
    collector.meter.entry(shown)?;
    if entry.is_dir() || name::is_litter(&own) {
        return Ok(());
    }
    let full = format!("{shown}: {own}");
    if entry.is_symlink() {
        return Err(Fault::new(Kind::RefusedEntry, format!("{full} is a link to another file.")));
    }
    if entry.encrypted() {
        return Err(Fault::new(Kind::RefusedEntry, format!("{full} is locked with a password.")));
    }
    let packed = entry.compressed_size();
    collector.meter.ratio(&full, packed, entry.size())?;
    let bytes = collector.copy(&full, &mut entry).map_err(|e| e.or(|why| broken(shown, &format!("{own}: {why}"))))?;
    collector.meter.ratio(&full, packed, bytes.len() as u64)?;
    collector.take(&full, &format!("{prefix}{own}"), bytes, depth)
}

fn broken(shown: &str, why: &str) -> Fault {
    Fault::new(Kind::BrokenArchive, format!("{shown}: {why}."))
}
