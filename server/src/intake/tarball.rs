//! Unpacks a tar. Only plain files are taken; everything else a tar can hold is named and left out.

use std::io::Read;

use tar::{Archive, Entry, EntryType};

use super::archive::{Within, broken};
use super::collect::Collector;
use super::name;
use super::refused::Refused;
use crate::fault::{Fault, Kind, Outcome};

/// Longest record that may name the entry behind it.
const LONGEST_NAME: u64 = 8 << 10;

/// Unpacks a tar as it streams by.
pub fn unpack(collector: &mut Collector, at: Within<'_>, source: &mut impl Read) -> Outcome<()> {
    let mut archive = Archive::new(source);
    // Raw entries: the library would gather names of any length in memory.
    let entries = archive.entries().map_err(|e| broken(&e))?.raw(true);
    let mut long = None;
    for entry in entries {
        let mut entry = entry.map_err(|e| broken(&e))?;
        match entry.header().entry_type() {
            EntryType::GNULongName => long = Some(long_name(&mut entry)?),
            EntryType::XHeader => long = path_of(&long_record(&mut entry)?).or(long),
            EntryType::GNULongLink | EntryType::XGlobalHeader => {}
            _ => {
                collector.meter.entry()?;
                let raw = long.take().unwrap_or_else(|| entry.path_bytes().into_owned());
                take(collector, at, &raw, &mut entry)?;
            }
        }
    }
    Ok(())
}

fn take(collector: &mut Collector, at: Within<'_>, raw: &[u8], entry: &mut Entry<'_, impl Read>) -> Outcome<()> {
    let kind = entry.header().entry_type();
    let own = match name::entry(raw) {
        Ok(own) if kind == EntryType::Directory || name::is_litter(&own) => return Ok(()),
        Ok(own) => format!("{}{own}", at.prefix),
        Err((own, why)) => {
            collector.refuse(format!("{}{own}", at.prefix), Fault::new(Kind::RefusedEntry, why));
            return Ok(());
        }
    };
    if let Some(why) = refusal(kind) {
        collector.refuse(own, Fault::new(Kind::RefusedEntry, why));
        return Ok(());
    }
    let said = entry.header().entry_size().map_err(|e| broken(&e))?;
    match collector.copy(entry, Some(said)) {
        Ok(bytes) if (bytes.len() as u64) < said => {
            Err(broken(&format!("{own} has {} of the {said} bytes it says it has", bytes.len())))
        }
        Ok(bytes) => collector.take(&own, bytes, at.depth + 1),
        Err(fault) => collector.refuse_or_stop(Refused::new(own, fault)),
    }
}

/// Why entries of a kind are left out.
fn refusal(kind: EntryType) -> Option<&'static str> {
    Some(match kind {
        EntryType::Regular | EntryType::Continuous => return None,
        EntryType::Symlink | EntryType::Link => "it is a link to another file",
        EntryType::Char | EntryType::Block => "it is a device",
        EntryType::Fifo => "it is a pipe",
        EntryType::GNUSparse => "it is stored with gaps",
        _ => "it is no plain file",
    })
}

fn long_record(entry: &mut Entry<'_, impl Read>) -> Outcome<Vec<u8>> {
    let mut text = Vec::new();
    entry.take(LONGEST_NAME + 1).read_to_end(&mut text).map_err(|e| broken(&e))?;
    if text.len() as u64 > LONGEST_NAME {
        return Err(broken(&format!("it holds a name of more than {LONGEST_NAME} bytes")));
    }
    Ok(text)
}

fn long_name(entry: &mut Entry<'_, impl Read>) -> Outcome<Vec<u8>> {
    let mut text = long_record(entry)?;
    let end = text.iter().position(|b| *b == 0).unwrap_or(text.len());
    text.truncate(end);
    Ok(text)
}

/// The path in an extended header: records of `length key=value` and a line end (POSIX pax).
fn path_of(text: &[u8]) -> Option<Vec<u8>> {
    let records = text.split(|b| *b == b'\n');
    let mut values = records.filter_map(|r| {
        let pair = &r[r.iter().position(|b| *b == b' ')? + 1..];
        pair.strip_prefix(b"path=").map(<[u8]>::to_vec)
    });
    values.next_back()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_of_an_extended_header_is_found() {
        assert_eq!(path_of(b"12 mtime=1.0\n17 path=a/top.gbr\n"), Some(b"a/top.gbr".to_vec()));
        assert_eq!(path_of(b"12 mtime=1.0\nnonsense\n"), None);
    }
}
