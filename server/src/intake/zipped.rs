//! Unpacks a zip.

use std::io::{Read, Seek};

use zip::ZipArchive;
use zip::read::ZipFile;

use super::archive::{Within, broken, rewind};
use super::collect::Collector;
use super::name;
use super::refused::Refused;
use crate::fault::{Fault, Kind, Outcome};

/// What every record of a zip's directory begins with.
const RECORD: &[u8; 4] = b"PK\x01\x02";

/// Unpacks a zip of `length` bytes.
pub fn unpack(collector: &mut Collector, at: Within<'_>, mut source: impl Read + Seek, length: u64) -> Outcome<()> {
    // Counted before the directory is read: its size in memory is the sender's choice.
    collector.meter.could_hold(records(&mut source)?)?;
    rewind(&mut source)?;
    let mut archive = ZipArchive::new(source).map_err(|e| broken(&e))?;
    if is_document(&archive) {
        let mut source = archive.into_inner();
        rewind(&mut source)?;
        let bytes = collector.copy(&mut source, Some(length))?;
        collector.keep(at.own, bytes);
        return Ok(());
    }
    if archive.has_overlapping_files().map_err(|e| broken(&e))? {
        return Err(broken(&"several of its entries share the same bytes"));
    }
    for index in 0..archive.len() {
        collector.meter.entry()?;
        let named = archive.name_for_index(index).and_then(Result::ok);
        let own = named.map_or_else(|| "unnamed".to_owned(), |n| name::shown(n.as_bytes()));
        match archive.by_index(index) {
            Ok(entry) => take(collector, at, entry)?,
            Err(e) => {
                let words = format!("it cannot be unpacked: {e}");
                collector.refuse(format!("{}{own}", at.prefix), Fault::new(Kind::BrokenArchive, words));
            }
        }
    }
    Ok(())
}

/// Office documents are zips whose first concern is not files.
fn is_document<R: Read + Seek>(archive: &ZipArchive<R>) -> bool {
    archive.index_for_name("[Content_Types].xml").is_some() || archive.index_for_name("mimetype") == Some(0)
}

/// Records of the directory, counted by what they begin with; never too few.
fn records(source: &mut (impl Read + Seek)) -> Outcome<u64> {
    rewind(source)?;
    let mut count = 0;
    let mut piece = vec![0; 1 << 16];
    let mut kept = 0;
    loop {
        let read = source.read(&mut piece[kept..]).map_err(|e| broken(&e))?;
        if read == 0 {
            return Ok(count);
        }
        let end = kept + read;
        let mut at = 0;
        while let Some(next) = piece[at..end].iter().position(|b| *b == RECORD[0]) {
            at += next + 1;
            count += u64::from(piece[at - 1..end].starts_with(RECORD));
        }
        // A record may begin in this piece and end in the next.
        kept = end.min(RECORD.len() - 1);
        piece.copy_within(end - kept..end, 0);
    }
}

fn take<R: Read>(collector: &mut Collector, at: Within<'_>, mut entry: ZipFile<'_, R>) -> Outcome<()> {
    let own = match name::entry(entry.name_raw()) {
        Ok(own) if entry.is_dir() || name::is_litter(&own) => return Ok(()),
        Ok(own) => format!("{}{own}", at.prefix),
        Err((own, why)) => {
            collector.refuse(format!("{}{own}", at.prefix), Fault::new(Kind::RefusedEntry, why));
            return Ok(());
        }
    };
    let refusal = if entry.is_symlink() {
        Some("it is a link to another file")
    } else if entry.encrypted() {
        Some("it is locked with a password")
    } else {
        None
    };
    if let Some(why) = refusal {
        collector.refuse(own, Fault::new(Kind::RefusedEntry, why));
        return Ok(());
    }
    let (packed, said) = (entry.compressed_size(), entry.size());
    match collector.copy_packed(&mut entry, packed, said) {
        Ok(bytes) => collector.take(&own, bytes, at.depth + 1),
        Err(fault) => collector.refuse_or_stop(Refused::new(own, fault)),
    }
}
