//! Unpacks archives, metered, without trusting a word they say of themselves.

use std::io::{Cursor, Read, Seek, SeekFrom};

use flate2::read::MultiGzDecoder;

use super::collect::Collector;
use super::gauge::Gauge;
use super::{name, tarball, zipped};
use crate::fault::{Fault, Kind, Outcome};

/// What kind of archive some bytes are, if any.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Packing {
    /// A zip.
    Zip,
    /// A tar.
    Tar,
    /// A gzip of a tar or of one file.
    Gzip,
    /// Another kind, by its name, which is not read.
    Unread(&'static str),
}

/// Bytes that are enough to tell an archive.
pub const HEAD: usize = 512;

/// Tells an archive by its first bytes.
#[must_use]
pub fn packing(bytes: &[u8]) -> Option<Packing> {
    const KNOWN: [(&[u8], Packing); 11] = [
        (b"PK\x03\x04", Packing::Zip),
        (b"PK\x05\x06", Packing::Zip),
        (b"PK\x07\x08", Packing::Zip),
        (b"\x1f\x8b", Packing::Gzip),
        (b"7z\xBC\xAF\x27\x1C", Packing::Unread("7z")),
        (b"Rar!\x1a\x07", Packing::Unread("rar")),
        (b"\xFD7zXZ\0", Packing::Unread("xz")),
        (b"BZh", Packing::Unread("bzip2")),
        (b"\x28\xB5\x2F\xFD", Packing::Unread("zstd")),
        (b"\x1f\x9d", Packing::Unread("compress")),
        (b"MSCF\0\0\0\0", Packing::Unread("cab")),
    ];
    if bytes.get(257..262) == Some(b"ustar") {
        return Some(Packing::Tar);
    }
    KNOWN.iter().find(|(magic, _)| bytes.starts_with(magic)).map(|(_, packing)| *packing)
}

/// An archive, or a part of one, that is being unpacked.
#[derive(Clone, Copy, Debug)]
pub struct Within<'a> {
    /// Path of the archive inside the set.
    pub own: &'a str,
    /// What goes before the paths of its entries.
    pub prefix: &'a str,
    /// Archives it lies in.
    pub depth: u64,
}

/// Unpacks an archive of `length` bytes into the collector. What is wrong with single entries is noted
/// there; an error is a fault of the archive, or of the whole set where a limit on that is reached.
pub fn unpack(
    collector: &mut Collector,
    at: Within<'_>,
    packing: Packing,
    mut source: impl Read + Seek,
    length: u64,
) -> Outcome<()> {
    collector.meter.depth(at.depth)?;
    match packing {
        Packing::Zip => zipped::unpack(collector, at, source, length),
        Packing::Tar => tarball::unpack(collector, at, &mut source),
        Packing::Gzip => gzip(collector, at, source, length),
        Packing::Unread(kind) => {
            let what = format!("it is packed with {kind}, which is not read; send the files as they are, or in a zip");
            Err(Fault::new(Kind::UnreadArchive, what))
        }
    }
}

/// A gzip holds a tar, or one file under the archive's own name.
fn gzip(collector: &mut Collector, at: Within<'_>, source: impl Read + Seek, length: u64) -> Outcome<()> {
    let mut gauge = Gauge::new(MultiGzDecoder::new(source), collector.meter.limits(), length);
    let done = ungzip(collector, at, &mut gauge);
    // What the gauge says goes before the words of those who read through it.
    gauge.verdict().and(done)
}

fn ungzip(collector: &mut Collector, at: Within<'_>, gauge: &mut Gauge<impl Read>) -> Outcome<()> {
    let mut head = Vec::new();
    gauge.by_ref().take(HEAD as u64).read_to_end(&mut head).map_err(|e| broken(&e))?;
    let is_tar = packing(&head) == Some(Packing::Tar);
    let mut whole = Cursor::new(head).chain(gauge);
    if is_tar {
        return tarball::unpack(collector, at, &mut whole);
    }
    let bytes = collector.copy(&mut whole, None)?;
    let plain = at.own.strip_suffix(".gz").filter(|p| !name::base(p).is_empty()).unwrap_or(at.own);
    collector.take(plain, bytes, at.depth + 1)
}

/// The fault of an archive that cannot be read on.
pub fn broken(why: &dyn std::fmt::Display) -> Fault {
    let why = why.to_string();
    Fault::new(Kind::BrokenArchive, format!("the archive cannot be read on: {}", why.trim_end_matches('.')))
}

/// Goes back to the beginning.
pub fn rewind(source: &mut impl Seek) -> Outcome<()> {
    source.seek(SeekFrom::Start(0)).map(drop).map_err(|e| broken(&e))
}
