//! Hostile sets against the real binary and the service over a socket: each is answered in little time and
//! memory, with the limit's name. Peak memory is the child's own high-water mark, read while it runs.

#![cfg(target_os = "linux")]

mod child;
mod small_board;

use std::io::Write;

use child::{Case, HEAD, put, repeat, run};
use small_board::Folder;

fn step_and_repeat(out: &mut dyn Write) {
    put(out, &format!("{HEAD}%SRX1000000Y1000000I0.1J0.1*%\nX0Y0D03*\n%SR*%\nM02*\n"));
}

fn doubling(out: &mut dyn Write) {
    put(out, HEAD);
    for block in 11..71 {
        let before = block - 1;
        put(out, &format!("%ABD{block}*%\nD{before}*\nX0Y0D03*\nX1000000Y0D03*\n%AB*%\n"));
    }
    put(out, "D70*\nX0Y0D03*\nM02*\n");
}

fn brackets(out: &mut dyn Write) {
    put(out, &format!("%FSLAX46Y46*%\n%MOMM*%\n%AMDEEP*1,1,{}1{},0,0*%\n", "(".repeat(100_000), ")".repeat(100_000)));
    put(out, "%ADD10DEEP*%\nD10*\nX0Y0D03*\nM02*\n");
}

fn contour(out: &mut dyn Write) {
    put(out, &format!("{HEAD}G36*\nX0Y0D02*\n"));
    repeat(out, "X1000000Y0D01*\nX0Y1000000D01*\n", 200 << 20);
    put(out, "G37*\nM02*\n");
}

fn contour_within_bytes(out: &mut dyn Write) {
    put(out, &format!("{HEAD}G36*\nX0Y0D02*\n"));
    repeat(out, "X1Y0D01*\nX0Y1D01*\n", 60 << 20);
    put(out, "G37*\nM02*\n");
}

fn long_line(out: &mut dyn Write) {
    put(out, HEAD);
    repeat(out, "X1Y1D03*", 300 << 20);
}

fn drill_repeat(out: &mut dyn Write) {
    put(out, "M48\nMETRIC,TZ\nT1C0.6\n%\nG90\nT1\nX1.0Y1.0\nR1000000000X0.1\nM30\n");
}

fn gzip_bomb(out: &mut dyn Write) {
    let mut encoder = flate2::write::GzEncoder::new(out, flate2::Compression::best());
    repeat(&mut encoder, "X1Y1D03*\n", 1 << 30);
    encoder.finish().unwrap();
}

fn zip_bomb(out: &mut dyn Write) {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    writer.start_file("top.gtl", zip::write::SimpleFileOptions::default()).unwrap();
    repeat(&mut writer, "0", 512 << 20);
    out.write_all(&writer.finish().unwrap().into_inner()).unwrap();
}

static CASES: [Case; 10] = [
    Case { name: "repeat", file: "top.gtl", make: step_and_repeat, answer: r#""objects""#, code: 4 },
    Case { name: "doubling", file: "top.gtl", make: doubling, answer: r#""objects""#, code: 4 },
    Case { name: "brackets", file: "top.gtl", make: brackets, answer: r#""nesting""#, code: 4 },
    Case { name: "contour", file: "top.gtl", make: contour, answer: r#""packed""#, code: 4 },
    Case { name: "contour-60", file: "top.gtl", make: contour_within_bytes, answer: r#""vertices""#, code: 4 },
    Case { name: "line", file: "top.gtl", make: long_line, answer: r#""packed""#, code: 4 },
    Case { name: "drill", file: "holes.drl", make: drill_repeat, answer: r#""hits""#, code: 4 },
    Case { name: "gzip", file: "top.gtl.gz", make: gzip_bomb, answer: r#""bytes""#, code: 4 },
    Case { name: "zip", file: "set.zip", make: zip_bomb, answer: r#""ratio""#, code: 4 },
    Case { name: "entries", file: "many.zip", make: many_entries, answer: r#""entries""#, code: 4 },
];

fn many_entries(out: &mut dyn Write) {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    (0..100_000).for_each(|i| writer.start_file(format!("{i}.gbr"), options).unwrap());
    out.write_all(&writer.finish().unwrap().into_inner()).unwrap();
}

#[test]
fn the_command_line_answers_every_hostile_set_with_the_limit() {
    let faults = child::command_line(&CASES);
    assert!(faults.is_empty(), "{faults:#?}");
}

#[tokio::test]
async fn the_service_answers_every_hostile_set_with_the_limit() {
    let faults = child::over_a_socket(CASES.iter().filter(|c| !matches!(c.name, "contour" | "line"))).await;
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn a_half_readable_set_gives_a_picture_and_queries() {
    let folder = Folder::new("half").with_board();
    doubling(&mut std::fs::File::create(folder.0.join("board-mask-top.gbr")).unwrap());
    std::fs::write(folder.0.join("inner.7z"), b"7z\xBC\xAF\x27\x1C\0\x04").unwrap();
    std::os::unix::fs::symlink("/etc/passwd", folder.0.join("link.gbr")).unwrap();
    let aside = Folder::new("half-out");
    let (text, code, ..) = run(&["check", "--format", "html", folder.0.to_str().unwrap()], &aside);
    assert_eq!(code, 4);
    assert!(text.contains("<svg") && text.contains("0.060 mm measured"));
    for named in ["objects", "inner.7z", "link.gbr", "link to another file"] {
        assert!(text.contains(named), "{named}");
    }
    let (text, ..) = run(&["check", "--limit", "objects=9", folder.0.to_str().unwrap()], &aside);
    assert!(text.contains("\"objects\" is 9"), "{text}");
}
