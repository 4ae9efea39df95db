//! How fast the way through the house is: read, union, measure.
//!
//! Runs on three real sets where they are on the machine, and on the Tarn Row demo everywhere.
//! With the feature `baseline` the same contours go through GEOS beside ours, and the ratio is printed.

#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput};
use landgap_parser::{Image, Limits, Point, Polarity};
use landgap_rules::board::LayerRef;
use landgap_rules::check::{InputFile, Told, measure};
use landgap_rules::geometry::{engine, flatten, image, shape, union};
use support::{checking_data, corpus, folder};

const REAL: [&str; 3] = ["board-053", "board-080", "board-031"];

fn main() {
    let mut criterion =
        Criterion::default().configure_from_args().sample_size(10).measurement_time(Duration::from_secs(8));
    for (name, path) in data() {
        let files = folder(&path);
        let images = artwork(&files);
        let bytes: u64 = files.iter().map(|f| f.bytes.len() as u64).sum();
        let mut group = criterion.benchmark_group(&name);
        group.throughput(Throughput::Bytes(bytes));
        group.bench_function("read", |b| b.iter(|| black_box(artwork(&files))));
        group.throughput(Throughput::Elements(images.iter().map(|i| i.objects.len() as u64).sum()));
        group.bench_function("image", |b| b.iter(|| black_box(ours(&images))));
        group.bench_function("whole way", |b| {
            b.iter(|| black_box(measure(&files, &Told::new(), &Limits::default(), &|_| {})))
        });
        group.finish();
        ratio(&name, &images);
    }
    growth();
    criterion.final_summary();
}

fn data() -> Vec<(String, PathBuf)> {
    let mut out = vec![("tarn-row".to_string(), corpus("tarn-row/buoy-logger"))];
    if let Some(boards) = checking_data("boards") {
        out.extend(REAL.iter().map(|name| ((*name).to_string(), boards.join(name))));
    }
    out
}

fn artwork(files: &[InputFile]) -> Vec<Image> {
    files
        .iter()
        .filter(|f| landgap_parser::kind::detect(&f.bytes) == landgap_parser::kind::Kind::Artwork)
        .filter_map(|f| landgap_parser::artwork::read(&f.bytes, &Limits::default()).ok())
        .map(|a| a.image)
        .collect()
}

fn ours(images: &[Image]) -> usize {
    images.iter().map(|i| image::build(i, LayerRef::Copper(1), 0).islands.len()).sum()
}

/// How the union grows with the number of strokes at constant density: short strokes on a grid,
/// each overlapping its neighbours in its row, every fourth row joined to the next.
fn growth() {
    let mut before: Option<Duration> = None;
    for count in [10_000_i64, 100_000, 1_000_000] {
        let side = (count as f64).sqrt() as i64;
        let at = |x: i64, y: i64| Point::new(x * 400_000, y * 400_000);
        let stroke = |i: i64| {
            let (x, y) = (i % side, i / side);
            let to = if y % 4 == 0 && x % 16 == 0 { at(x, y + 1) } else { at(x + 1, y) };
            vec![flatten::capsule(at(x, y), to, 75_000.0)]
        };
        let objects: Vec<_> = (0..count).map(stroke).collect();
        let started = Instant::now();
        let islands = black_box(union::union(objects)).len();
        let took = started.elapsed();
        let exponent = before.map(|b| (took.as_secs_f64() / b.as_secs_f64()).log10());
        println!("union of {count} strokes: {took:?}, {islands} islands, growth exponent {exponent:.2?}");
        before = Some(took);
    }
}

/// One run of ours and one of the baseline on the dark contours of every file.
fn ratio(name: &str, images: &[Image]) {
    let contours: Vec<Vec<Vec<landgap_parser::Point>>> = images
        .iter()
        .map(|i| {
            i.objects.iter().filter(|o| o.polarity == Polarity::Dark).flat_map(|o| shape::contours(i, o)).collect()
        })
        .collect();
    let started = Instant::now();
    let shapes: usize = contours.iter().map(|c| engine::union(c).len()).sum();
    let ours = started.elapsed();
    match baseline(&contours) {
        Some((theirs, their_shapes)) => println!(
            "{name}: union of all dark contours: ours {ours:?} ({shapes} shapes), GEOS {theirs:?} ({their_shapes} shapes), ratio {:.1}",
            theirs.as_secs_f64() / ours.as_secs_f64()
        ),
        None => {
            println!("{name}: union of all dark contours: ours {ours:?} ({shapes} shapes); no baseline in this build")
        }
    }
}

#[cfg(not(feature = "baseline"))]
fn baseline(_contours: &[Vec<Vec<landgap_parser::Point>>]) -> Option<(Duration, usize)> {
    None
}

#[cfg(feature = "baseline")]
fn baseline(layers: &[Vec<Vec<landgap_parser::Point>>]) -> Option<(Duration, usize)> {
    use geos::{CoordSeq, Geom, Geometry};
    let polygon = |contour: &Vec<landgap_parser::Point>| {
        let closed: Vec<[f64; 2]> =
            contour.iter().chain(contour.first()).map(|p| [p.x as f64 / 1e6, p.y as f64 / 1e6]).collect();
        let ring = Geometry::create_linear_ring(CoordSeq::new_from_vec(&closed).ok()?).ok()?;
        Geometry::create_polygon(ring, Vec::new()).ok()
    };
    let started = Instant::now();
    let mut shapes = 0;
    for layer in layers {
        // Only outer contours: GEOS takes holes another way, and none of the three sets has many.
        let parts = layer.iter().filter(|c| engine::doubled_area(c) > 0).filter_map(polygon).collect();
        let union = Geometry::create_multipolygon(parts).ok()?.unary_union().ok()?;
        shapes += union.get_num_geometries().ok()?;
    }
    Some((started.elapsed(), shapes))
}
