//! The form as PDF, spreadsheet and mail, opened by other programs.

mod small_board;

use std::io::{Cursor, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use calamine::{Data, Reader, Xlsx};
use serde_json::Value;
use small_board::Folder;

fn landgap(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_landgap")).args(arguments).output().unwrap()
}

fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}

const ORDER: &str =
    "customer = \"=1+1 Tarn Row\"\npart = \"TR-20\"\nrevision = \"B\"\nnumber = \"4711\"\nanswer_by = 2026-07-01\n";

/// The small board with a net that would be a formula, its order, and the form in a format.
fn form(name: &str, format: &str, more: &[&str]) -> (Folder, PathBuf) {
    let folder = Folder::new(name);
    for (file, text) in small_board::files() {
        folder.write(file, text.replace("TO.N,LEFT", "TO.N,=2+5"));
    }
    let files = Folder::new(&format!("{name}-files"));
    let order = files.write("order.toml", ORDER);
    let target = files.0.join(format!("form.{format}"));
    let arguments = ["check", path(&folder.0), "--order", path(&order), "--format", format, "--out", path(&target)];
    let run = landgap(&[&arguments[..], more].concat());
    assert_eq!(run.status.code(), Some(1), "{}", String::from_utf8_lossy(&run.stderr));
    assert!(run.stdout.is_empty());
    drop(folder);
    (files, target)
}

/// Runs a program of the poppler tools; `None`, said aloud, where they are not on the machine.
fn poppler(program: &str, arguments: &[&str]) -> Option<String> {
    match Command::new(program).args(arguments).output() {
        Ok(out) if out.status.success() => Some(String::from_utf8_lossy(&out.stdout).into_owned()),
        Ok(out) => panic!("{program}: {}", String::from_utf8_lossy(&out.stderr)),
        Err(_) => {
            eprintln!("skipped: {program} (Debian's poppler-utils) is not on this machine");
            None
        }
    }
}

#[test]
fn a_pdf_has_words_fonts_pages_and_the_table_of_places() {
    let (files, pdf) = form("pdf", "pdf", &[]);
    let bytes = std::fs::read(&pdf).unwrap();
    assert!(bytes.starts_with(b"%PDF-1."));
    let Some(text) = poppler("pdftotext", &["-layout", path(&pdf), "-"]) else { return };
    for words in [
        "Engineering queries",
        "TR-20, revision B",
        "4711",
        "2026-07-01",
        "0.060 mm measured",
        "(we suggest this)",
        "page 1 of",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
    let fonts = poppler("pdffonts", &[path(&pdf)]).unwrap();
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(rows.len() >= 2 && rows.iter().all(|r| r.contains("DejaVu") && r.contains("yes yes yes")), "{fonts}");
    let info = poppler("pdfinfo", &[path(&pdf)]).unwrap();
    assert!(info.contains("595.28 x 841.89") && info.contains("Title:"), "{info}");
    let attached = files.0.join("places.csv");
    poppler("pdfdetach", &["-save", "1", "-o", path(&attached), path(&pdf)]).unwrap();
    let places = std::fs::read_to_string(&attached).unwrap();
    assert!(places.starts_with("capability,query,rule") && places.contains("tight-gap"), "{places}");
    let again = form("pdf-again", "pdf", &[]);
    assert!(bytes == std::fs::read(&again.1).unwrap(), "the same data give the same bytes");
}

#[test]
fn a_pdf_for_letter_paper_is_letter() {
    let (_files, pdf) = form("letter", "pdf", &["--paper", "letter"]);
    let Some(info) = poppler("pdfinfo", &[path(&pdf)]) else { return };
    assert!(info.contains("612 x 792"), "{info}");
}

fn sheet(book: &mut Xlsx<Cursor<Vec<u8>>>, name: &str) -> Vec<Vec<Data>> {
    book.worksheet_range(name).unwrap().rows().map(<[Data]>::to_vec).collect()
}

#[test]
fn a_spreadsheet_carries_the_reports_numbers_and_no_formulas() {
    let (_files, target) = form("xlsx", "xlsx", &[]);
    let bytes = std::fs::read(&target).unwrap();
    let mut book = Xlsx::new(Cursor::new(bytes.clone())).unwrap();
    let rows = sheet(&mut book, "Queries");
    let column = |head: &str| rows[0].iter().position(|c| *c == *head).unwrap();
    let gap = rows.iter().find(|r| r[column("rule")] == *"tight-gap").expect("the query");
    let Data::Float(measured) = gap[column("measured mm")] else { panic!("no number: {gap:?}") };
    assert!((measured - 0.060).abs() < 0.0005);
    assert!(gap[column("answers to choose from")].to_string().contains("A: "));
    for name in ["Queries", "Head", "Places", "Agreed"] {
        assert_eq!(book.worksheet_formula(name).unwrap().used_cells().count(), 0, "{name} holds formulas");
    }
    let head = sheet(&mut book, "Head");
    assert!(head.iter().any(|r| r[1] == Data::String("=1+1 Tarn Row".into())), "the customer's name stays words");
    let places = sheet(&mut book, "Places");
    assert!(places.iter().flatten().any(|c| c.to_string().contains("=2+5")), "the net's name stays words");
    let again = form("xlsx-again", "xlsx", &[]);
    assert!(bytes == std::fs::read(&again.1).unwrap(), "the same data give the same bytes");
}

/// The spreadsheet as a person would save it: words typed into cells.
fn typed(bytes: &[u8], cells: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut out = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for i in 0..archive.len() {
        let mut entry = archive.by_index(i).unwrap();
        let name = entry.name().unwrap().into_owned();
        let mut text = Vec::new();
        entry.read_to_end(&mut text).unwrap();
        if name == "xl/worksheets/sheet1.xml" {
            let mut xml = String::from_utf8(text).unwrap();
            for (cell, words) in cells {
                let at = xml.find(&format!("<c r=\"{cell}\"")).unwrap_or_else(|| panic!("no cell {cell}"));
                let end = at + xml[at..].find("/>").unwrap() + 2;
                xml.replace_range(at..end, &format!("<c r=\"{cell}\" t=\"inlineStr\"><is><t>{words}</t></is></c>"));
            }
            text = xml.into_bytes();
        }
        out.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        out.write_all(&text).unwrap();
    }
    out.finish().unwrap().into_inner()
}

#[test]
fn answers_typed_into_the_spreadsheet_are_read_back() {
    let (files, target) = form("answers", "xlsx", &[]);
    let bytes = std::fs::read(&target).unwrap();
    let cells =
        [("O2", "b"), ("P2", "see new data"), ("Q2", "this part"), ("R2", "I. Brant, designer"), ("S2", "1 June")];
    let answered = files.write("answered.xlsx", typed(&bytes, &cells));
    let run = landgap(&["answers", path(&answered)]);
    let read: Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(read.as_array().unwrap().len(), 1, "lines without an answer are left out");
    assert_eq!((read[0]["number"].as_u64(), read[0]["answer"].as_str()), (Some(1), Some("B")));
    assert_eq!((read[0]["holds"].as_str(), read[0]["by"].as_str()), (Some("this part"), Some("I. Brant, designer")));
    assert_eq!(read[0]["text"], "see new data");
    let wrong = files.write("wrong.xlsx", typed(&bytes, &[("O2", "yes please")]));
    let run = landgap(&["answers", path(&wrong)]);
    assert_eq!(run.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&run.stderr).contains("row 2: expected one letter"));
    let none = files.write("none.xlsx", b"no spreadsheet");
    assert_eq!(landgap(&["answers", path(&none)]).status.code(), Some(3));
}

#[test]
fn a_mail_has_a_subject_and_every_question_with_its_answers() {
    let (_files, target) = form("mail", "mail", &[]);
    let text = std::fs::read_to_string(&target).unwrap();
    assert!(text.starts_with("Subject: TR-20, revision B, order 4711: "), "{text}");
    assert!(text.contains("Please answer by 2026-07-01.") && text.contains("(we suggest this)"), "{text}");
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("not an approval"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 78 || !l.trim().contains(' ')), "{text}");
}
