//! How fast the way through the house is: read, union, measure.
//!
//! Runs on three real sets where they are on the machine, and on the Tarn Row demo everywhere.
//! With the feature `baseline` the same contours go through GEOS beside ours, and the ratio is printed.

mod scenes;
#[path = "../tests/support/mod.rs"]
mod support;

use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput};
use landgap_parser::{Image, Limits, Polarity};
use landgap_rules::board::LayerRef;
use landgap_rules::check::{InputFile, Told, measure};
use landgap_rules::geometry::edges::EdgeIndex;
use landgap_rules::geometry::{engine, image, shape};
use scenes::Scene;
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

/// How image, index and union grow with the number of objects at constant density.
fn growth() {
    for scene in Scene::ALL {
        let mut before: Option<(f64, f64)> = None;
        for count in [10_000, 100_000, 1_000_000, 2_000_000] {
            let layer = scene.layer(count);
            let started = Instant::now();
            let built = image::build(&layer, LayerRef::Copper(1), 0);
            let index = EdgeIndex::new(&built.islands);
            let took = started.elapsed().as_secs_f64();
            let exponent = before.map(|(n, t)| (took / t).ln() / (count as f64 / n).ln());
            let (islands, edges) = (built.islands.len(), index.edges().len());
            println!("{scene:?} of {count}: {took:.2} s, {islands} islands, {edges} edges, exponent {exponent:.2?}");
            before = Some((count as f64, took));
        }
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
