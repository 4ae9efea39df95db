//! The real binary as a child process: what it answers, how long it takes, and the most memory it held.

#![allow(dead_code)]

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

use super::small_board::Folder;

/// Most memory a child may have held, in KiB.
const MEMORY: u64 = 300 << 10;
/// Most time, wide enough for a busy machine and an unoptimised build.
const TIME: Duration = Duration::from_secs(30);

/// A child that ends sooner may end before it is first looked at.
const BRIEF: Duration = Duration::from_millis(50);

/// How artwork begins that draws with one round aperture.
pub const HEAD: &str = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1.0*%\nD10*\n";

/// A hostile set: its name, its file, what makes it, the words that must answer it, and the exit code.
pub struct Case {
    pub name: &'static str,
    pub file: &'static str,
    pub make: fn(&mut dyn Write),
    pub answer: &'static str,
    pub code: i32,
}

/// Writes text.
pub fn put(out: &mut dyn Write, text: &str) {
    out.write_all(text.as_bytes()).unwrap();
}

/// Writes `text` again and again, `bytes` of it at least.
pub fn repeat(out: &mut dyn Write, text: &str, bytes: usize) {
    let block = text.repeat((1 << 16) / text.len());
    (0..bytes / block.len() + 1).for_each(|_| put(out, &block));
}

/// The file of a case.
pub fn made(folder: &Folder, case: &Case) -> PathBuf {
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
pub fn run(arguments: &[&str], folder: &Folder) -> (String, i32, Duration, u64) {
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
    let named = text.replace("\\\"", "\"").contains(case.answer);
    let checks = [
        (named, format!("{} is not said in: {:.600}", case.answer, text)),
        ((memory > 0 || time < BRIEF) && memory <= MEMORY, format!("{memory} KiB of memory")),
        (time <= TIME, format!("{time:?}")),
    ];
    checks.into_iter().filter(|c| !c.0).map(|c| format!("{}: {}", case.name, c.1)).collect()
}

/// What is wrong with the answers of the command line.
pub fn command_line(cases: &[Case]) -> Vec<String> {
    let mut faults = Vec::new();
    for case in cases {
        let (data, aside) = (Folder::new(case.name), Folder::new(&format!("{}-out", case.name)));
        let path = made(&data, case);
        let (text, code, time, memory) = run(&["check", path.to_str().unwrap()], &aside);
        faults.extend(wrong(case, &text, time, memory));
        faults.extend((code != case.code).then(|| format!("{}: exit code {code}", case.name)));
    }
    faults
}

/// A service of its own process.
pub struct Service {
    child: Child,
    /// Where it listens.
    pub base: String,
}

impl Service {
    /// A service that keeps its data in a folder.
    pub fn new(data: &Path) -> Self {
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

/// What is wrong with the answers of the service, a new one for each case.
pub async fn over_a_socket(cases: impl Iterator<Item = &'static Case>) -> Vec<String> {
    let _ = rustls::crypto::ring::default_provider().install_default();
    let client = reqwest::Client::new();
    let mut faults = Vec::new();
    for case in cases {
        let (data, store) = (Folder::new(&format!("{}-sent", case.name)), Folder::new(&format!("{}-store", case.name)));
        let path = made(&data, case);
        let service = Service::new(&store.0);
        let begun = Instant::now();
        let text = answer(&client, &service.base, case, &path).await;
        let (time, memory) = (begun.elapsed(), peak(&service.child).unwrap());
        faults.extend(wrong(case, &text, time, memory));
    }
    faults
}
