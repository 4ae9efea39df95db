//! Archives and folders made to do harm: each is refused with a clear fault, in little time and memory.

mod small_board;

use std::io::{Cursor, Write};

use landgap_server::fault::{Fault, Kind};
use landgap_server::intake::{DataSet, Limits, from_paths};
use small_board::Folder;
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

type Writer = ZipWriter<Cursor<Vec<u8>>>;

fn packed(fill: impl FnOnce(&mut Writer)) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    fill(&mut writer);
    writer.finish().unwrap().into_inner()
}

fn with(name: &str, bytes: &[u8]) -> Vec<u8> {
    packed(|w| {
        w.start_file(name, SimpleFileOptions::default()).unwrap();
        w.write_all(bytes).unwrap();
    })
}

fn refused(name: &str, bytes: &[u8], limits: Limits) -> Fault {
    let folder = Folder::new(name);
    let path = folder.write("data.zip", bytes);
    from_paths(&[path], limits).expect_err("it is refused")
}

const ARTWORK: &[u8] = b"%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1.0*%\nD10*\nX0Y0D03*\nM02*\n";

#[test]
fn a_zip_in_a_zip_is_read_and_one_deeper_is_not() {
    let inner = with("top.gtl", ARTWORK);
    let once = with("inner.zip", &inner);
    let folder = Folder::new("nested");
    let path = folder.write("data.zip", &once);
    let set = from_paths(&[path], Limits::default()).unwrap();
    assert_eq!(set.files[0].path, "top.gtl");
    let twice = with("outer.zip", &once);
    let fault = refused("nested-deep", &twice, Limits::default());
    assert!(fault.kind == Kind::TooLarge && fault.detail.contains("\"depth\" is 1"), "{}", fault.detail);
}

#[test]
fn entries_that_share_bytes_are_refused() {
    let mut bytes = packed(|w| {
        for name in ["a.gbr", "b.gbr"] {
            w.start_file(name, SimpleFileOptions::default()).unwrap();
            w.write_all(&ARTWORK.repeat(20)).unwrap();
        }
    });
    // The second record of the directory is pointed at the first one's data (offset field at 42).
    let records: Vec<usize> = (0..bytes.len() - 4).filter(|i| bytes[*i..].starts_with(b"PK\x01\x02")).collect();
    bytes[records[1] + 42..records[1] + 46].fill(0);
    let fault = refused("overlap", &bytes, Limits::default());
    assert_eq!(fault.kind, Kind::BrokenArchive);
    assert!(fault.detail.contains("share"), "{}", fault.detail);
}

#[test]
fn links_are_refused_in_archives_and_folders() {
    let bytes = packed(|w| w.add_symlink("top.gtl", "/etc/passwd", SimpleFileOptions::default()).unwrap());
    assert_eq!(refused("link", &bytes, Limits::default()).kind, Kind::RefusedEntry);
    let folder = Folder::new("link-folder");
    std::os::unix::fs::symlink("/etc/passwd", folder.0.join("top.gtl")).unwrap();
    let fault = from_paths(std::slice::from_ref(&folder.0), Limits::default()).unwrap_err();
    assert_eq!(fault.kind, Kind::RefusedEntry);
}

#[test]
fn names_that_lead_out_are_refused_and_the_rest_is_read() {
    let bytes = packed(|w| {
        for name in ["../../top.gtl", "/abs/bottom.gbl", "C:\\w\\edge.gko", "a\x1b[2J.gto", "in/good.gts"] {
            w.start_file(name, SimpleFileOptions::default()).unwrap();
            w.write_all(ARTWORK).unwrap();
        }
    });
    let set = read("names", "data.zip", &bytes);
    assert_eq!(set.files.iter().map(|f| f.path.as_str()).collect::<Vec<_>>(), ["good.gts"]);
    let refused: Vec<&str> = set.refused.iter().map(|r| r.path.as_str()).collect();
    assert_eq!(refused, ["abs/bottom.gbl", "a\u{FFFD}[2J.gto", "top.gtl", "w/edge.gko"]);
}

fn read(name: &str, as_name: &str, bytes: &[u8]) -> DataSet {
    let folder = Folder::new(name);
    let path = folder.write(as_name, bytes);
    from_paths(&[path], Limits::default()).unwrap()
}

fn tarred(fill: impl FnOnce(&mut tar::Builder<Vec<u8>>)) -> Vec<u8> {
    let mut builder = tar::Builder::new(Vec::new());
    fill(&mut builder);
    builder.into_inner().unwrap()
}

fn add(builder: &mut tar::Builder<Vec<u8>>, kind: tar::EntryType, name: &[u8], bytes: &[u8]) {
    let mut header = tar::Header::new_ustar();
    // Written past the builder's own checks, which refuse hostile names.
    header.as_mut_bytes()[..name.len()].copy_from_slice(name);
    header.set_size(bytes.len() as u64);
    header.set_entry_type(kind);
    header.set_cksum();
    builder.append(&header, bytes).unwrap();
}

fn gzipped(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap()
}

#[test]
fn tar_and_gzip_are_read_and_only_their_plain_files() {
    use tar::EntryType::{Block, Fifo, Link, Regular, Symlink};
    let tar = tarred(|b| {
        add(b, Regular, b"set/top.gtl", ARTWORK);
        for (kind, name) in [(Symlink, "link"), (Link, "hard"), (Block, "device"), (Fifo, "pipe")] {
            add(b, kind, format!("set/{name}.gbl").as_bytes(), b"");
        }
        add(b, Regular, b"../up.gbs", ARTWORK);
    });
    for (name, bytes) in [("data.tar", tar.clone()), ("data.tgz", gzipped(&tar))] {
        let set = read("tar", name, &bytes);
        assert_eq!((set.files.len(), set.refused.len()), (1, 5), "{name}: {:?}", set.refused);
        assert_eq!(set.files[0].bytes, ARTWORK);
    }
    let one = read("gz", "top.gtl.gz", &gzipped(ARTWORK));
    assert_eq!((one.files[0].path.as_str(), one.files[0].bytes.as_slice()), ("top.gtl", ARTWORK));
    let inside = with("data.tgz", &gzipped(&tar));
    let fault = refused("tgz-in-zip-in-zip", &with("b.zip", &inside), Limits::default());
    assert!(fault.detail.contains("depth"), "{}", fault.detail);
}

#[test]
fn a_gzip_bomb_reaches_the_ratio() {
    let fault = refused("gz-bomb", &gzipped(&vec![0; 32 << 20]), Limits { ratio: 100, ..Limits::default() });
    assert!(fault.kind == Kind::TooLarge && fault.detail.contains("\"ratio\""), "{}", fault.detail);
}

#[test]
fn a_design_programs_database_is_told_with_what_to_send() {
    let tar = tarred(|b| {
        add(b, tar::EntryType::Regular, b"job/matrix/matrix", b"STEP {\n}\n");
        add(b, tar::EntryType::Regular, b"job/steps/pcb/layers/top/features", b"UNITS=MM\n");
    });
    let fault = refused("database", &gzipped(&tar), Limits::default());
    assert!(fault.kind == Kind::UnreadArchive && fault.detail.contains("layered artwork"), "{}", fault.detail);
}

#[test]
fn too_many_entries_too_many_bytes_and_bombs_reach_a_limit() {
    let many =
        packed(|w| (0..200).for_each(|i| w.start_file(format!("{i}.gbr"), SimpleFileOptions::default()).unwrap()));
    assert_eq!(refused("many", &many, Limits { entries: 100, ..Limits::default() }).kind, Kind::TooLarge);
    let large = with("top.gtl", &ARTWORK.repeat(400));
    let mut small = Limits::default();
    small.reading.bytes = 10_000;
    assert_eq!(refused("large", &large, small).kind, Kind::TooLarge);
    assert_eq!(refused("whole", &large, Limits { unpacked: 10_000, ..Limits::default() }).kind, Kind::TooLarge);
    let zeros = with("top.gtl", &vec![0; 8 << 20]);
    assert_eq!(refused("zeros", &zeros, Limits::default()).kind, Kind::TooLarge);
}

#[test]
fn every_cut_of_an_archive_is_a_fault_and_no_panic() {
    let whole = small_board::zip();
    for length in (0..whole.len()).step_by(97) {
        let folder = Folder::new("cut");
        let path = folder.write("data.zip", &whole[..length]);
        let fault = from_paths(&[path], Limits::default()).expect_err("a cut archive is no archive");
        assert_eq!(fault.exit(), 2, "{length}: {}", fault.detail);
    }
}

#[test]
fn damaged_bytes_never_panic() {
    let whole = small_board::zip();
    let folder = Folder::new("damage");
    for at in (0..whole.len()).step_by(61) {
        let mut bytes = whole.clone();
        bytes[at] ^= 0x55;
        let path = folder.write("data.zip", bytes);
        if let Err(fault) = from_paths(&[path], Limits::default()) {
            assert!([2, 4].contains(&fault.exit()), "{at}: {}", fault.detail);
        }
    }
}
