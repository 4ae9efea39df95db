//! Hostile archives and hostile contents against the real binary and the service: each is answered in little
//! time and memory, with the limit's name or the plain refusal.

#![cfg(target_os = "linux")]

mod child;
mod small_board;

use std::io::{Cursor, Write};

use child::{Case, HEAD, put, repeat};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn zipped(name: &str, bytes: &[u8]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file(name, SimpleFileOptions::default()).unwrap();
    writer.write_all(bytes).unwrap();
    writer.finish().unwrap().into_inner()
}

fn nested(out: &mut dyn Write) {
    let inner = zipped("top.gtl", format!("{HEAD}X0Y0D03*\nM02*\n").as_bytes());
    out.write_all(&zipped("b.zip", &zipped("a.zip", &inner))).unwrap();
}

/// Where the records of a zip's directory begin (PKWARE's published note on the format, 4.3.12).
fn records(bytes: &[u8]) -> Vec<usize> {
    (0..bytes.len() - 4).filter(|i| bytes[*i..].starts_with(b"PK\x01\x02")).collect()
}

/// A thousand entries that all unpack the same bytes: the field at 42 is where the data begin.
fn overlapping(out: &mut dyn Write) {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for i in 0..1000 {
        writer.start_file(format!("{i}.gbr"), SimpleFileOptions::default()).unwrap();
        if i == 0 {
            repeat(&mut writer, "X1Y1D03*\n", 4 << 20);
        }
    }
    let mut bytes = writer.finish().unwrap().into_inner();
    for at in records(&bytes) {
        bytes[at + 42..at + 46].fill(0);
    }
    out.write_all(&bytes).unwrap();
}

/// A zip of one entry that says it has `said` bytes: the field at 24 of the directory, at 22 before the data.
fn lying(out: &mut dyn Write, bytes: usize, said: u32) {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file("top.gtl", SimpleFileOptions::default()).unwrap();
    repeat(&mut writer, "0", bytes);
    let mut bytes = writer.finish().unwrap().into_inner();
    let at = records(&bytes)[0];
    bytes[at + 24..at + 28].copy_from_slice(&said.to_le_bytes());
    bytes[22..26].copy_from_slice(&said.to_le_bytes());
    out.write_all(&bytes).unwrap();
}

fn less_said(out: &mut dyn Write) {
    lying(out, 256 << 20, 100);
}

fn more_said(out: &mut dyn Write) {
    lying(out, 1 << 16, u32::MAX - 1);
}

fn tarred(out: &mut dyn Write, kind: tar::EntryType, name: &str, bytes: &[u8], said: u64) {
    let mut header = tar::Header::new_ustar();
    header.set_path(name).unwrap();
    header.set_entry_type(kind);
    if kind == tar::EntryType::Symlink {
        header.set_link_name("/etc/passwd").unwrap();
    }
    header.set_size(said);
    header.set_cksum();
    out.write_all(header.as_bytes()).unwrap();
    out.write_all(bytes).unwrap();
    out.write_all(&vec![0; bytes.len().next_multiple_of(512) - bytes.len()]).unwrap();
}

fn plain(out: &mut dyn Write, name: &str, bytes: &[u8]) {
    tarred(out, tar::EntryType::Regular, name, bytes, bytes.len() as u64);
}

fn board(out: &mut dyn Write) {
    small_board::files().iter().for_each(|(name, text)| plain(out, name, text.as_bytes()));
}

fn tar_link(out: &mut dyn Write) {
    board(out);
    tarred(out, tar::EntryType::Symlink, "link.gbr", b"", 0);
    out.write_all(&[0; 1024]).unwrap();
}

/// Says it has 8 GiB, the most a plain header can say, and ends at once.
fn tar_more_said(out: &mut dyn Write) {
    tarred(out, tar::EntryType::Regular, "top.gtl", b"", (8 << 30) - 1);
}

fn deep_folders(out: &mut dyn Write) {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for i in 0..200 {
        writer.start_file(format!("{}{i}.gtl", "d/".repeat(1000)), SimpleFileOptions::default()).unwrap();
        writer.write_all(b"%FSLAX46Y46*%\n%MOMM*%\n%LPX*%\nM02*\n").unwrap();
    }
    out.write_all(&writer.finish().unwrap().into_inner()).unwrap();
}

fn long_expression(out: &mut dyn Write) {
    put(out, "%FSLAX46Y46*%\n%MOMM*%\n%AMSUM*1,1,1");
    repeat(out, "+1", 60 << 20);
    put(out, ",0,0*%\n%ADD10SUM*%\nD10*\nX0Y0D03*\nM02*\n");
}

/// One macro of a thousand steps, worked out for a hundred thousand apertures.
fn macro_again(out: &mut dyn Write) {
    put(out, "%FSLAX46Y46*%\n%MOMM*%\n%AMLOOP*");
    (0..250).for_each(|_| put(out, "$1=$1x1.01+0.001*\n"));
    put(out, "1,1,$1,0,0*%\n");
    (10..100_010).for_each(|i| put(out, &format!("%ADD{i}LOOP,0.1*%\n")));
    put(out, "M02*\n");
}

fn nul_only(out: &mut dyn Write) {
    repeat(out, "\0", 60 << 20);
}

/// NUL bytes where the kind of the file has been told already.
fn nul_within(out: &mut dyn Write) {
    put(out, HEAD);
    repeat(out, "X1Y1D03*\n", 1 << 17);
    repeat(out, "\0\n", 40 << 20);
    put(out, "M02*\n");
}

fn utf_16(out: &mut dyn Write) {
    out.write_all(b"\xFF\xFE").unwrap();
    HEAD.bytes().for_each(|b| out.write_all(&[b, 0]).unwrap());
    repeat(out, "X\x001\0Y\x001\0D\x000\x003\0*\0\n\0", 60 << 20);
}

/// Ten million lines; each record begins a point (IPC-D-356A, operation code 327). It comes with a board,
/// without which a netlist is not read.
fn netlist(out: &mut dyn Write) {
    let mut text = Vec::new();
    put(&mut text, "C  made to do harm\nP  UNITS CUST 1\n");
    repeat(&mut text, "327A\n", 50_000_000);
    put(&mut text, "999\n");
    board(out);
    plain(out, "board.ipc", &text);
    out.write_all(&[0; 1024]).unwrap();
}

fn job(out: &mut dyn Write) {
    board(out);
    plain(out, "board.gbrjob", format!("{{\"GeneralSpecs\":{}", "[".repeat(100_000)).as_bytes());
    out.write_all(&[0; 1024]).unwrap();
}

/// A contour of almost as many corners as are allowed, in almost as many bytes.
fn long_contour(out: &mut dyn Write, corners: i64, corner: impl Fn(i64) -> (i64, i64)) {
    put(out, &format!("{HEAD}G36*\nX0Y0D02*\n"));
    (1..corners).map(corner).for_each(|(x, y)| put(out, &format!("X{x:+011}Y{y:+011}D01*\r\n\n")));
    put(out, "X0Y0D01*\nG37*\nM02*\n");
}

const CORNERS: i64 = 99_990;

/// Twenty times the corners allowed, in 64 MB.
fn long_comb(out: &mut dyn Write) {
    long_contour(out, 20 * CORNERS, |i| (400 * (i / 2), 50_000_000 * (i % 2)));
}

/// A comb: every second side is a tooth's. Nothing is wrong with it.
fn comb(out: &mut dyn Write) {
    long_contour(out, CORNERS, |i| {
        let (tooth, part) = (i / 4, i % 4);
        let last = i == CORNERS - 1;
        (400 * tooth + [0, 0, 200, 200][part as usize], if last || matches!(part, 0 | 3) { 0 } else { 50_000_000 })
    });
}

/// Slanted sides that never meet, and of which every box meets every other.
fn slanted(out: &mut dyn Write) {
    long_contour(out, CORNERS, |i| {
        (100 * i + if i % 2 == 0 { 0 } else { 400_000_000 }, if i % 2 == 0 { 0 } else { 400_000_000 })
    });
}

/// Long sides to and fro between places drawn by lot (a linear congruential row): all cross all.
fn tangled(out: &mut dyn Write) {
    let lot = |i: i64, by: i64| i.wrapping_mul(by).rem_euclid(900_000_011);
    long_contour(out, CORNERS, |i| (lot(i, 48_271_337), lot(i, 69_621_113)));
}

const fn case(
    name: &'static str,
    file: &'static str,
    make: fn(&mut dyn Write),
    answer: &'static str,
    code: i32,
) -> Case {
    Case { name, file, make, answer, code }
}

static CASES: [Case; 14] = [
    case("nested", "set.zip", nested, r#""depth""#, 4),
    case("overlapping", "set.zip", overlapping, "share the same bytes", 2),
    case("less-said", "set.zip", less_said, "larger than its declared uncompressed size", 2),
    case("more-said", "set.zip", more_said, r#""ratio""#, 4),
    case("tar-link", "set.tar", tar_link, "it is a link to another file", 1),
    case("tar-more", "set.tar", tar_more_said, r#""bytes""#, 4),
    case("deep-folders", "set.zip", deep_folders, "199.gtl", 1),
    case("expression", "top.gtl", long_expression, r#""macro_steps""#, 4),
    case("macro-again", "top.gtl", macro_again, r#""macro_steps""#, 4),
    case("nul", "top.gtl", nul_only, "holds neither", 2),
    case("nul-within", "top.gtl", nul_within, "artwork-not-text", 1),
    case("utf-16", "top.gtl", utf_16, "UTF-16", 2),
    case("netlist", "set.tar", netlist, r#""records""#, 4),
    case("job", "set.tar", job, r#""nesting""#, 4),
];

/// Contours of as many corners as are allowed, and one of more.
static CONTOURS: [Case; 4] = [
    case("comb", "top.gtl", comb, "top.gtl", 1),
    case("long-comb", "top.gtl", long_comb, r#""contour""#, 4),
    case("slanted", "top.gtl", slanted, r#""contour_pairs""#, 4),
    case("tangled", "top.gtl", tangled, r#""contour_pairs""#, 4),
];

#[test]
fn the_command_line_answers_every_set() {
    let faults = child::command_line(&CASES);
    assert!(faults.is_empty(), "{faults:#?}");
}

#[tokio::test]
async fn the_service_answers_every_set() {
    let faults = child::over_a_socket(CASES.iter()).await;
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn contours_just_inside_the_limits_are_answered() {
    let faults = child::command_line(&CONTOURS);
    assert!(faults.is_empty(), "{faults:#?}");
}
