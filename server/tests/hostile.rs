//! Archives and folders made to do harm: each is refused with a clear fault, in little time and memory.

mod small_board;

use std::io::{Cursor, Write};

use landgap_server::fault::{Fault, Kind};
use landgap_server::intake::{Limits, from_paths};
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
    let fault = from_paths(&[path], limits).expect_err("it is refused");
    assert!(fault.detail.contains("data.zip"), "{}", fault.detail);
    fault
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
    assert_eq!(refused("nested-deep", &twice, Limits::default()).kind, Kind::RefusedEntry);
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
fn names_that_lead_out_are_only_names() {
    let bytes = packed(|w| {
        for name in ["../../top.gtl", "/abs/bottom.gbl", "x/../../y.gko"] {
            w.start_file(name, SimpleFileOptions::default()).unwrap();
            w.write_all(ARTWORK).unwrap();
        }
    });
    let folder = Folder::new("names");
    let path = folder.write("data.zip", bytes);
    let set = from_paths(&[path], Limits::default()).unwrap();
    let paths: Vec<&str> = set.files.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(paths, ["abs/bottom.gbl", "top.gtl", "x/y.gko"]);
}

#[test]
fn too_many_entries_too_many_bytes_and_bombs_reach_a_limit() {
    let many =
        packed(|w| (0..200).for_each(|i| w.start_file(format!("{i}.gbr"), SimpleFileOptions::default()).unwrap()));
    assert_eq!(refused("many", &many, Limits { entries: 100, ..Limits::default() }).kind, Kind::TooLarge);
    let large = with("top.gtl", &ARTWORK.repeat(400));
    assert_eq!(refused("large", &large, Limits { file: 10_000, ..Limits::default() }).kind, Kind::TooLarge);
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
