//! Hostile sets against the real binary and the service over a socket: each is answered in little time and
//! memory, with the limit's name. Peak memory is the child's own high-water mark, read while it runs.

#![cfg(target_os = "linux")]

mod small_board;

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;
use small_board::Folder;

/// Most memory a child may have held, in KiB.
const MEMORY: u64 = 300 << 10;
/// Most time, wide enough for a busy machine and an unoptimised build.
const TIME: Duration = Duration::from_secs(10);

/// A child that ends sooner may end before it is first looked at.
const BRIEF: Duration = Duration::from_millis(50);

const HEAD: &str = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1.0*%\nD10*\n";

/// A hostile set: its name, its file, what makes it, and the words that must answer it.
struct Case {
    name: &'static str,
    file: &'static str,
    make: fn(&mut dyn Write),
    answer: &'static str,
}

fn put(out: &mut dyn Write, text: &str) {
    out.write_all(text.as_bytes()).unwrap();
}

fn repeat(out: &mut dyn Write, text: &str, bytes: usize) {
    let block = text.repeat((1 << 16) / text.len());
    (0..bytes / block.len() + 1).for_each(|_| put(out, &block));
}

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

const CASES: [Case; 10] = [
    Case { name: "repeat", file: "top.gtl", make: step_and_repeat, answer: "objects" },
    Case { name: "doubling", file: "top.gtl", make: doubling, answer: "objects" },
    Case { name: "brackets", file: "top.gtl", make: brackets, answer: "nesting" },
    Case { name: "contour", file: "top.gtl", make: contour, answer: "packed" },
    Case { name: "contour-60", file: "top.gtl", make: contour_within_bytes, answer: "vertices" },
    Case { name: "line", file: "top.gtl", make: long_line, answer: "packed" },
    Case { name: "drill", file: "holes.drl", make: drill_repeat, answer: "hits" },
    Case { name: "gzip", file: "top.gtl.gz", make: gzip_bomb, answer: "bytes" },
    Case { name: "zip", file: "set.zip", make: zip_bomb, answer: "ratio" },
    Case { name: "entries", file: "many.zip", make: many_entries, answer: "entries" },
];

fn many_entries(out: &mut dyn Write) {
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    let options = zip::write::SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    (0..100_000).for_each(|i| writer.start_file(format!("{i}.gbr"), options).unwrap());
    out.write_all(&writer.finish().unwrap().into_inner()).unwrap();
}

fn made(folder: &Folder, case: &Case) -> PathBuf {
    let path = folder.0.join(case.file);
    let mut out = std::io::BufWriter::new(std::fs::File::create(&path).unwrap());
    (case.make)(&mut out);
    out.flush().unwrap();
    path
}

/// The child's peak memory so far in KiB; nothing once it has ended.
fn peak(child: &Child) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").parse().ok()
}

/// Runs the binary to its end: output of both kinds, exit code, time, peak memory.
fn run(arguments: &[&str], folder: &Folder) -> (String, i32, Duration, u64) {
    let (out, err) = (folder.0.join("out"), folder.0.join("err"));
    let begun = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_landgap"))
        .args(arguments)
        .stdout(std::fs::File::create(&out).unwrap())
        .stderr(std::fs::File::create(&err).unwrap())
        .spawn()
        .unwrap();
    let mut most = 0;
    let status = loop {
        most = most.max(peak(&child).unwrap_or(0));
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        if begun.elapsed() > TIME * 6 {
            child.kill().unwrap();
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    let text = std::fs::read_to_string(out).unwrap() + &std::fs::read_to_string(err).unwrap();
    (text, status.code().unwrap_or(-1), begun.elapsed(), most)
}

/// What is wrong with one answer; nothing where all is well.
fn wrong(case: &Case, text: &str, time: Duration, memory: u64) -> Vec<String> {
    println!("{:12} {:6.2} s {:4} MiB", case.name, time.as_secs_f64(), memory >> 10);
    let named = text.replace("\\\"", "\"").contains(&format!("\"{}\"", case.answer));
    let checks = [
        (named, format!("the limit {} is not named in: {:.600}", case.answer, text)),
        ((memory > 0 || time < BRIEF) && memory <= MEMORY, format!("{memory} KiB of memory")),
        (time <= TIME, format!("{time:?}")),
    ];
    checks.into_iter().filter(|c| !c.0).map(|c| format!("{}: {}", case.name, c.1)).collect()
}

#[test]
fn the_command_line_answers_every_hostile_set_with_the_limit() {
    let mut faults = Vec::new();
    for case in &CASES {
        let (data, aside) = (Folder::new(case.name), Folder::new(&format!("{}-out", case.name)));
        let path = made(&data, case);
        let (text, code, time, memory) = run(&["check", path.to_str().unwrap()], &aside);
        faults.extend(wrong(case, &text, time, memory));
        faults.extend((code != 4).then(|| format!("{}: exit code {code}", case.name)));
    }
    assert!(faults.is_empty(), "{faults:#?}");
}

/// A service of its own process.
struct Service {
    child: Child,
    base: String,
}

impl Service {
    fn new(data: &Path) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_landgap"))
            .args(["serve", "--listen", "127.0.0.1:0", "--data", data.to_str().unwrap()])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let base = line.trim().rsplit(' ').next().unwrap().to_owned();
        Self { child, base }
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

async fn answer(client: &reqwest::Client, base: &str, case: &Case, path: &Path) -> String {
    let part = reqwest::multipart::Part::bytes(std::fs::read(path).unwrap()).file_name(case.file);
    let form = reqwest::multipart::Form::new().part("files", part);
    let sent = client.post(format!("{base}/api/data-sets")).multipart(form).send().await.unwrap();
    let refused = !sent.status().is_success();
    let text = sent.text().await.unwrap();
    if refused {
        return text;
    }
    let set: Value = serde_json::from_str(&text).unwrap();
    let request = serde_json::json!({ "data_set": set["id"] });
    let begun = client.post(format!("{base}/api/checks")).json(&request).send().await.unwrap();
    let check: Value = begun.json().await.unwrap();
    let check = format!("{base}/api/checks/{}", check["id"].as_str().unwrap());
    client.get(format!("{check}/events")).send().await.unwrap().text().await.unwrap();
    client.get(format!("{check}/report")).send().await.unwrap().text().await.unwrap()
}

#[tokio::test]
async fn the_service_answers_every_hostile_set_with_the_limit() {
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::new();
    let mut faults = Vec::new();
    for case in CASES.iter().filter(|c| !matches!(c.name, "contour" | "line")) {
        let (data, store) = (Folder::new(&format!("{}-sent", case.name)), Folder::new(&format!("{}-store", case.name)));
        let path = made(&data, case);
        let service = Service::new(&store.0);
        let begun = Instant::now();
        let text = answer(&client, &service.base, case, &path).await;
        let (time, memory) = (begun.elapsed(), peak(&service.child).unwrap());
        faults.extend(wrong(case, &text, time, memory));
    }
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
