//! How fast artwork is read: bytes to commands, and bytes to the image, on one thread.
//!
//! Beside each stands a bare scan of the same bytes, which finds the separators and decodes the
//! integers and does nothing else: no reader can be faster, and the ratio to it is printed.
//! Runs on three real sets where they are on the machine, and on the Tarn Row demo everywhere.

#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput};
use landgap_parser::kind::{Kind, detect};
use landgap_parser::{Limits, artwork};
use support::{checking_data, corpus, folder};

/// The three largest of the real sets, all files counted.
const REAL: [&str; 3] = ["board-053", "board-080", "board-031"];

/// Runs of which the fastest counts for the ratio: what else the machine does only ever slows a run.
const RUNS: usize = 7;

/// The way from bytes that is timed.
type Way = (&'static str, fn(&[u8]) -> u64);

/// The bare scan comes first: the others are compared with it.
const WAYS: [Way; 3] = [("bare scan", scan), ("bytes to commands", commands), ("bytes to image", image)];

fn main() {
    let mut criterion = Criterion::default()
        .configure_from_args()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(300))
        .measurement_time(Duration::from_millis(1500));
    for (name, path) in data() {
        let files = artwork_files(&path);
        let bytes: u64 = files.iter().map(|f| f.len() as u64).sum();
        let mut group = criterion.benchmark_group(&name);
        group.throughput(Throughput::Bytes(bytes));
        for (way, run) in WAYS {
            group.bench_function(way, |b| b.iter(|| through(&files, run)));
        }
        group.finish();
        ratios(&name, &files, bytes);
    }
    criterion.final_summary();
}

fn data() -> Vec<(String, PathBuf)> {
    let mut out = vec![("tarn-row".to_string(), corpus("tarn-row/buoy-logger"))];
    if let Some(boards) = checking_data("boards") {
        out.extend(REAL.iter().map(|name| ((*name).to_string(), boards.join(name))));
    }
    out
}

fn artwork_files(path: &std::path::Path) -> Vec<Vec<u8>> {
    let files: Vec<Vec<u8>> =
        folder(path).into_iter().map(|f| f.bytes).filter(|bytes| detect(bytes) == Kind::Artwork).collect();
    assert!(!files.is_empty(), "{} holds no artwork", path.display());
    files
}

fn through(files: &[Vec<u8>], run: fn(&[u8]) -> u64) -> u64 {
    files.iter().map(|f| black_box(run(black_box(f)))).fold(0, u64::wrapping_add)
}

fn commands(bytes: &[u8]) -> u64 {
    artwork::read_commands(bytes, &Limits::default()).map_or(0, |(commands, _)| commands.len() as u64)
}

fn image(bytes: &[u8]) -> u64 {
    artwork::read(bytes, &Limits::default()).map_or(0, |a| a.image.objects.len() as u64)
}

/// Finds `*` and `%`, decodes every run of digits with its sign, and keeps a sum so that nothing is left out.
fn scan(bytes: &[u8]) -> u64 {
    let (mut sum, mut separators) = (0_i64, 0_u64);
    let (mut value, mut is_negative) = (0_i64, false);
    for &byte in bytes {
        match byte {
            b'0'..=b'9' => value = value.wrapping_mul(10).wrapping_add(i64::from(byte - b'0')),
            _ => {
                sum = sum.wrapping_add(if is_negative { value.wrapping_neg() } else { value });
                value = 0;
                is_negative = byte == b'-';
                separators += u64::from(byte == b'*' || byte == b'%');
            }
        }
    }
    separators.wrapping_add(sum.cast_unsigned())
}

/// Megabytes a second of each way, and how many times the bare scan's time it takes.
fn ratios(name: &str, files: &[Vec<u8>], bytes: u64) {
    let mut bare = None;
    for (way, run) in WAYS {
        let took = fastest(files, run);
        let speed = bytes as f64 / took.as_secs_f64() / 1e6;
        let times = took.as_secs_f64() / bare.get_or_insert(took).as_secs_f64();
        println!("{name}: {way}: {speed:.0} MB/s of {:.2} MB, {times:.1} times the bare scan", bytes as f64 / 1e6);
    }
}

fn fastest(files: &[Vec<u8>], run: fn(&[u8]) -> u64) -> Duration {
    let timed = |_| {
        let started = Instant::now();
        black_box(through(files, run));
        started.elapsed()
    };
    (0..RUNS).map(timed).min().unwrap_or_default()
}
