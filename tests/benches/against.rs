//! The program against a plain script on a general geometry library, both in one run.
//!
//! For the three largest sets on the machine: the primitives our reader found go to the script in
//! `tests/bench/baseline`, which times itself without reading; the release binary is timed whole, as a
//! process that reads, places, measures and writes facts. Medians of five, and the ratio, on one core
//! (`taskset -c 0`) and on all. `LANDGAP_PYTHON` names a Python with shapely 2; `RUNS` another count.

#[path = "../tests/support/mod.rs"]
mod support;

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use landgap_parser::{Image, Point, Polarity};
use landgap_rules::board::HolePlating;
use landgap_rules::check::Measured;
use landgap_rules::geometry::shape;
use landgap_rules::measure::touch::axis;
use serde_json::{Value, json};
use support::{checking_data, measured};

const SETS: [&str; 3] = ["board-053", "board-042", "board-080"];

fn main() {
    let Some(boards) = checking_data("boards") else { return };
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let program = root.join("target/release/landgap");
    let script = root.join("tests/bench/baseline/measure.py");
    if !program.is_file() {
        println!("skipped: build the release binary first (cargo build --release -p landgap-server)");
        return;
    }
    let python = std::env::var("LANDGAP_PYTHON").unwrap_or_else(|_| "python3".to_string());
    for set in SETS {
        let folder = boards.join(set);
        let given = std::env::temp_dir().join(format!("landgap-primitives-{set}.json"));
        std::fs::write(&given, export(&measured(&folder)).to_string()).expect("a writable temporary folder");
        for cores in ["0", "all"] {
            let ours = median(|| whole(&program, &folder, cores));
            let theirs = median(|| scripted(&python, &script, &given, cores));
            match (ours, theirs) {
                (Some(a), Some(b)) => {
                    println!("{set}, cores {cores}: program {a:.2} s, script {b:.2} s, ratio {:.1}", b / a);
                }
                (ours, theirs) => println!("{set}, cores {cores}: could not run: program {ours:?}, script {theirs:?}"),
            }
        }
    }
}

fn median(mut run: impl FnMut() -> Option<f64>) -> Option<f64> {
    let runs = std::env::var("RUNS").ok().and_then(|v| v.parse().ok()).unwrap_or(5usize);
    let mut times: Vec<f64> = (0..runs).map(|_| run()).collect::<Option<_>>()?;
    times.sort_by(f64::total_cmp);
    times.get(times.len() / 2).copied()
}

fn on(cores: &str, program: &Path) -> Command {
    if cores == "all" {
        return Command::new(program);
    }
    let mut command = Command::new("taskset");
    command.args(["-c", cores]).arg(program);
    command
}

/// Seconds of the whole process.
fn whole(program: &Path, folder: &Path, cores: &str) -> Option<f64> {
    let started = Instant::now();
    let done = on(cores, program).arg("facts").arg(folder).stdout(Stdio::null()).stderr(Stdio::null()).status().ok()?;
    done.success().then(|| started.elapsed().as_secs_f64())
}

/// Seconds the script took to measure, by its own clock.
fn scripted(python: &str, script: &Path, given: &Path, cores: &str) -> Option<f64> {
    let done = on(cores, Path::new(python)).arg(script).arg(given).stderr(Stdio::inherit()).output().ok()?;
    let said: Value = serde_json::from_slice(&done.stdout).ok()?;
    said["seconds"].as_f64()
}

/// What the script is given, in millimetres.
fn export(set: &Measured) -> Value {
    let image = |file: u32| set.board.images.get(file as usize).and_then(Option::as_ref).map_or(json!([]), objects);
    let copper: Vec<Value> = set.board.copper.iter().map(|l| image(l.file)).collect();
    let masks: Vec<Value> = set.board.masks.iter().map(|l| image(l.file)).collect();
    let outline: Vec<Vec<[f64; 2]>> = set.geometry.outline.iter().map(|c| ring(c)).collect();
    let sized = set.board.holes.iter().filter_map(|h| Some((h, h.finished?)));
    let holes: Vec<Value> = sized
        .map(|(hole, size)| {
            let path = axis(hole);
            let (from, to) = (mm(path[0]), mm(*path.last().unwrap_or(&path[0])));
            json!({ "from": from, "to": to, "diameter": size as f64 / 1e6, "plated": hole.plating == HolePlating::Plated })
        })
        .collect();
    json!({ "copper": copper, "masks": masks, "outline": outline, "holes": holes })
}

fn objects(image: &Image) -> Value {
    let one = |object| match shape::round(image, object) {
        Some((from, to, radius)) => json!({ "path": [mm(from), mm(to)], "radius": radius / 1e6 }),
        None => json!({ "rings": shape::contours(image, object).iter().map(|c| ring(c)).collect::<Vec<_>>() }),
    };
    let told = image.objects.iter().map(|object| {
        let mut value = one(object);
        value["dark"] = json!(object.polarity == Polarity::Dark);
        value
    });
    told.collect()
}

fn ring(points: &[Point]) -> Vec<[f64; 2]> {
    points.iter().map(|p| mm(*p)).collect()
}

fn mm(p: Point) -> [f64; 2] {
    [p.x as f64 / 1e6, p.y as f64 / 1e6]
}
