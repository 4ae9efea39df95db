//! Remarks as the user meets them, through the binary: as data, under the offending line, and as one
//! table on the command line and over HTTP.

mod small_board;

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;
use small_board::Folder;

fn landgap(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_landgap")).args(arguments).output().unwrap()
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

/// Copper with a bow-tie of 10 mm: half of it is gone round the wrong way (Gerber layer format 4.10.3).
const BOW: &str = "%TF.FileFunction,Copper,L1,Top*%\n%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1.2*%\nD10*\n\
X5000000Y5000000D03*\nX15000000Y5000000D03*\n%LPD*%\nG01*\n\
G36*\nX0Y0D02*\nX10000000Y10000000D01*\nX10000000Y0D01*\nX0Y10000000D01*\nX0Y0D01*\nG37*\n\
G04 colour\x1b[31m\tnext*\nX1000000Y1000000D77*\nM02*\n";
const FILE: &str = "board-copper-top.gbr";

fn bow(name: &str) -> Folder {
    let folder = Folder::new(name).with_board();
    folder.write(FILE, BOW);
    folder
}

fn report(folder: &Folder) -> Value {
    let run = landgap(&["check", folder.0.to_str().unwrap(), "--format", "json"]);
    serde_json::from_slice(&run.stdout).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(&run.stderr)))
}

/// Every remark of a report with the path of its file.
fn remarks(report: &Value) -> Vec<(String, Value)> {
    let files = report["data"]["files"].as_array().unwrap();
    let of = |f: &Value| {
        let path = f["path"].as_str().unwrap().to_owned();
        f["remarks"].as_array().unwrap().iter().map(|r| (path.clone(), r.clone())).collect::<Vec<_>>()
    };
    files.iter().flat_map(of).collect()
}

fn one(report: &Value, code: &str) -> Value {
    let all = remarks(report);
    let found = all.iter().find(|(path, r)| path == FILE && r["code"] == code);
    found.unwrap_or_else(|| panic!("no {code} in {all:#?}")).1.clone()
}

#[test]
fn the_report_carries_remarks_as_data_and_holds_to_its_schema() {
    let folder = bow("remark-data");
    let report = report(&folder);
    let schema: Value = serde_json::from_str(landgap_server::wire::SCHEMA).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&report).map(|e| format!("{}: {e}", e.instance_path)).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    let lines: Vec<&str> = BOW.lines().collect();
    let mut seen = 0;
    for (path, remark) in remarks(&report) {
        for part in ["code", "severity", "found", "action", "text"] {
            assert_ne!(remark[part].as_str(), Some(""), "{path}: {remark}");
        }
        let line = remark["line"].as_u64().unwrap() as usize;
        let Some(excerpt) = remark["excerpt"].as_object().filter(|_| path == FILE) else { continue };
        let shown: String = excerpt["text"].as_str().unwrap().to_owned();
        assert_eq!(shown, lines[line - 1].replace('\x1b', "\u{FFFD}").replace('\t', " "), "{remark}");
        assert_eq!(excerpt["caret"].as_u64().unwrap() + 1, remark["column"].as_u64().unwrap(), "{remark}");
        seen += 1;
    }
    assert!(seen >= 2, "{report:#}");
}

/// By hand: the bow-tie is two triangles of 10 mm by 5 mm, 25 mm² each, that meet at (5, 5) mm.
#[test]
fn two_readings_are_told_with_their_areas() {
    let folder = bow("remark-areas");
    let remark = one(&report(&folder), "artwork-contour-crosses");
    let [reading] = remark["two_readings"].as_array().unwrap().as_slice() else { panic!("{remark:#}") };
    assert_eq!(reading["differ_mm2"], 25.0);
    assert_eq!(reading["areas_mm2"], serde_json::json!([50.0, 25.0]));
    assert_eq!(reading["at_um"], serde_json::json!([5000, 5000]));
    let line = reading["line"].as_u64().unwrap();
    assert!((10..=16).contains(&line), "the region stands on lines 10 to 16, not {line}");
}

#[test]
fn the_text_shows_the_offending_line_with_a_caret_under_the_column() {
    let folder = bow("remark-text");
    let report = report(&folder);
    let run = landgap(&["check", folder.0.to_str().unwrap()]);
    let text = out(&run);
    assert!(!text.contains('\x1b'), "what a terminal would obey is not printed");
    let printed: Vec<&str> = text.lines().collect();
    let mut seen = 0;
    for (path, remark) in remarks(&report).iter().filter(|(p, r)| p == FILE && r["severity"] != "info") {
        let Some(excerpt) = remark["excerpt"].as_object() else { continue };
        let start = format!("    {} | ", remark["line"]);
        let line = format!("{start}{}", excerpt["text"].as_str().unwrap());
        let at = printed.windows(2).position(|two| two[0] == line && two[1].ends_with('^'));
        let at = at.unwrap_or_else(|| panic!("{path}: no {line:?} in\n{text}"));
        let caret = printed[at + 1].chars().count() - 1;
        assert_eq!(caret, start.len() + remark["column"].as_u64().unwrap() as usize - 1, "{text}");
        seen += 1;
    }
    assert!(seen >= 2, "{text}");
}

/// Every code that stands in the sources of the readers and of the rules.
fn codes_in_sources() -> BTreeSet<String> {
    let mut folders = ["../parser/src", "../rules/src"].map(|f| Path::new(env!("CARGO_MANIFEST_DIR")).join(f)).to_vec();
    let mut found = BTreeSet::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let path: PathBuf = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.extend(std::fs::read_to_string(&path).unwrap().lines().filter_map(code_of).map(str::to_owned));
            }
        }
    }
    found
}

/// The code of a line such as `id: "x",` or `NAME "x" Warning …`.
fn code_of(line: &str) -> Option<&str> {
    let line = line.trim_start();
    if let Some(rest) = line.strip_prefix("id: \"") {
        return rest.split('"').next();
    }
    let mut parts = line.splitn(3, '"');
    let name = parts.next()?.strip_suffix(' ')?;
    let code = parts.next()?;
    let weight = parts.next()?.split_whitespace().next()?;
    let is_row = name.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'_');
    (is_row && matches!(weight, "Info" | "Warning" | "Error" | "Fatal")).then_some(code)
}

#[test]
fn the_table_lists_every_code_once_with_source_and_advice() {
    let run = landgap(&["remarks"]);
    assert_eq!(run.status.code(), Some(0));
    let lines: Vec<&str> = out(&run).lines().collect();
    let mut listed = BTreeSet::new();
    for row in lines.chunks(4) {
        let [code, weight, source, action] = row else { panic!("{row:?}") };
        assert!(listed.insert((*code).to_owned()), "{code} is listed twice");
        let weight = weight.trim_start();
        assert!(["error, ", "warning, ", "info, "].iter().any(|w| weight.starts_with(w)), "{row:?}");
        assert!(
            source.trim_start().len() > "source: ".len() && action.starts_with("  ") && action.len() > 10,
            "{row:?}"
        );
    }
    let sources = codes_in_sources();
    assert!(sources.len() > 200, "{} codes found in the sources", sources.len());
    let missing: Vec<&String> = sources.difference(&listed).collect();
    assert!(missing.is_empty(), "not in the table: {missing:?}");
    let folder = bow("remark-listed");
    folder.write("parts.rar", b"Rar!\x1a\x07\x01\x00 and so on");
    let told = remarks(&report(&folder));
    assert!(told.iter().any(|(path, _)| path == "parts.rar"), "{told:#?}");
    for (path, remark) in told {
        assert!(listed.contains(remark["code"].as_str().unwrap()), "{path}: {remark}");
    }
}

#[test]
fn one_code_or_the_beginning_of_some_is_looked_up() {
    let one = landgap(&["remarks", "artwork-contour-crosses"]);
    assert_eq!(out(&one).lines().count(), 4, "{}", out(&one));
    assert!(out(&one).starts_with("artwork-contour-crosses\n  ") && out(&one).contains("4.10.3"), "{}", out(&one));
    let some = landgap(&["remarks", "artwork-contour-"]);
    let codes: Vec<&str> = out(&some).lines().step_by(4).collect();
    assert!(codes.len() > 1 && codes.iter().all(|c| c.starts_with("artwork-contour-")), "{codes:?}");
    let none = landgap(&["remarks", "no-such"]);
    assert_eq!(none.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&none.stderr).contains("no-such"));
}

/// The service, ended with the test.
struct Serving(Child);

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn the_service_gives_the_same_table() {
    let mut serve = Command::new(env!("CARGO_BIN_EXE_landgap"));
    let serve = serve.args(["serve", "--listen", "127.0.0.1:0"]).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut serving = Serving(serve.spawn().unwrap());
    let mut told = String::new();
    BufReader::new(serving.0.stdout.take().unwrap()).read_line(&mut told).unwrap();
    let address = told.trim().rsplit("http://").next().unwrap();
    let mut stream = TcpStream::connect(address).unwrap_or_else(|e| panic!("{told:?}: {e}"));
    write!(stream, "GET /api/remarks HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    let (head, body) = answer.split_once("\r\n\r\n").unwrap();
    assert!(head.starts_with("HTTP/1.1 200") && head.contains("application/json"), "{head}");
    let rows: Vec<Value> = serde_json::from_str(body).unwrap_or_else(|e| panic!("{e}: {body}"));
    let text: String = rows
        .iter()
        .map(|r| {
            let part = |key: &str| r[key].as_str().unwrap().to_owned();
            let [code, severity, about] = ["code", "severity", "about"].map(part);
            format!("{code}\n  {severity}, {about}\n  source: {}\n  {}\n", part("clause"), part("action"))
        })
        .collect();
    assert_eq!(text, out(&landgap(&["remarks"])));
}
