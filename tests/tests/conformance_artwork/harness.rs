//! The public doors of the artwork reader, with the few questions the tests ask.

use std::fs;
use std::path::{Path, PathBuf};

use landgap_parser::artwork::{self, Artwork};
use landgap_parser::{ApertureShape, Contour, Edge, Image, Limits, MacroPart, Object, Point, Shape};
use landgap_rules::board::LayerRef;
use landgap_rules::geometry::{engine, image, layer::LayerImage};

/// A row that says all: id, file, remarks, objects, area in mm², length of curved outline in mm.
pub type Row = (&'static str, &'static str, &'static [&'static str], usize, f64, f64);

pub const PI: f64 = std::f64::consts::PI;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus/conformance/artwork")
}

/// Every file of the folder, by name.
pub fn all_files() -> Vec<(String, Vec<u8>)> {
    let entries = |at: &Path| {
        let list = fs::read_dir(at).unwrap_or_else(|e| panic!("{}: {e}", at.display()));
        let mut list: Vec<PathBuf> = list.map(|e| e.expect("a readable entry").path()).collect();
        list.sort();
        list
    };
    let chapters = entries(&folder()).into_iter().filter(|p| p.is_dir());
    let files: Vec<PathBuf> = chapters.flat_map(|c| entries(&c)).collect();
    assert!(files.len() > 150, "only {} files", files.len());
    files.into_iter().map(|p| (p.display().to_string(), fs::read(&p).expect("a readable file"))).collect()
}

pub fn read(bytes: &[u8]) -> Artwork {
    artwork::read(bytes, &Limits::default()).expect("within limits")
}

/// Reads the file `name` of the folder, which must carry the id.
#[track_caller]
pub fn load(id: &str, name: &str) -> Artwork {
    let path = folder().join(name).with_extension("gbr");
    let bytes = fs::read(&path).unwrap_or_else(|e| panic!("{id}: {}: {e}", path.display()));
    assert!(bytes.starts_with(format!("G04 {id} |").as_bytes()), "{id}: {name} has another id");
    read(&bytes)
}

/// Remarks as "severity id", in order of the alphabet.
pub fn said(art: &Artwork) -> Vec<String> {
    let mut said: Vec<String> =
        art.remarks.iter().map(|r| format!("{} {}", r.code.severity.word(), r.code.id)).collect();
    said.sort();
    said
}

/// Where the remarks are not these and no others, what differs. Each says what was found and what to do.
fn remarks_differ(art: &Artwork, wanted: &[&str]) -> Option<String> {
    let mut wanted = wanted.to_vec();
    wanted.sort_unstable();
    let empty = art.remarks.iter().find(|r| r.found.is_empty() || r.code.action.is_empty() || r.place.line == 0);
    if let Some(remark) = empty {
        return Some(format!("a remark that does not say enough: {remark:?}"));
    }
    (said(art) != wanted).then(|| format!("remarks {:?}, expected {wanted:?}", said(art)))
}

/// Nothing but these remarks was made.
#[track_caller]
pub fn expect_said(id: &str, art: &Artwork, wanted: &[&str]) {
    if let Some(difference) = remarks_differ(art, wanted) {
        panic!("{id}: {difference}");
    }
}

pub fn final_image(image: &Image) -> LayerImage {
    image::build(image, LayerRef::Copper(1), 0)
}

/// Areas of the islands in mm².
pub fn islands(image: &Image) -> Vec<f64> {
    final_image(image).islands.iter().map(|i| engine::area_mm2(&i.contours)).collect()
}

pub fn area(image: &Image) -> f64 {
    islands(image).iter().sum()
}

/// Corners of the final image.
pub fn corners(image: &Image) -> Vec<Point> {
    final_image(image).islands.iter().flat_map(|i| i.contours.concat()).collect()
}

/// An area may err by 0.2 µm along its curved outline, and by the rounding of its corners to 1 nm.
fn area_differs(found: f64, wanted: f64, curve: f64) -> Option<String> {
    let tolerance = 0.2e-3 * curve + 2e-5;
    let differs = (found - wanted).abs() > tolerance;
    differs.then(|| format!("area {found:.6} mm², expected {wanted:.6} ± {tolerance:.6}"))
}

#[track_caller]
pub fn expect_area(id: &str, found: f64, wanted: f64, curve: f64) {
    if let Some(difference) = area_differs(found, wanted, curve) {
        panic!("{id}: {difference}");
    }
}

fn row_differs((id, name, remarks, objects, wanted, curve): Row) -> Vec<String> {
    let art = load(id, name);
    let count = art.image.objects.len();
    let objects = (count != objects).then(|| format!("{count} objects, expected {objects}"));
    let found = [remarks_differ(&art, remarks), objects, area_differs(area(&art.image), wanted, curve)];
    found.into_iter().flatten().map(|difference| format!("{id}: {difference}")).collect()
}

/// All rows, so that a failure tells of each row that differs.
#[track_caller]
pub fn check_all(rows: &[Row]) {
    let found: Vec<String> = rows.iter().flat_map(|row| row_differs(*row)).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

pub fn mm(value: f64) -> i64 {
    (value * 1e6).round() as i64
}

pub fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}

pub fn points(list: &[(f64, f64)]) -> Vec<Point> {
    list.iter().map(|(x, y)| at(*x, *y)).collect()
}

/// Where the objects are flashed, in order.
#[track_caller]
pub fn flashes(id: &str, image: &Image) -> Vec<Point> {
    let flash = |o: &Object| match &o.shape {
        Shape::Flash { at, .. } => *at,
        other => panic!("{id}: expected a flash, found {other:?}"),
    };
    image.objects.iter().map(flash).collect()
}

/// Parts of the macro that is aperture number 0.
#[track_caller]
pub fn parts<'a>(id: &str, image: &'a Image) -> &'a [MacroPart] {
    match image.apertures.first().map(|a| &a.shape) {
        Some(ApertureShape::Macro { parts }) => parts,
        other => panic!("{id}: expected a macro, found {other:?}"),
    }
}

/// Centre and diameter of a contour that is one full circle.
#[track_caller]
pub fn disc(id: &str, contour: &Contour) -> (Point, i64) {
    match contour.edges.as_slice() {
        [Edge::Arc { to, centre, .. }] if *to == contour.start => (*centre, 2 * (to.x - centre.x)),
        other => panic!("{id}: expected a circle, found {other:?}"),
    }
}

/// Each wanted corner is there to the nanometre, give or take the last digit of the truth.
#[track_caller]
pub fn expect_corners(id: &str, image: &Image, wanted: &[(f64, f64)], all: bool) {
    let found = corners(image);
    let near = |a: &Point, b: &Point| (a.x - b.x).abs() <= 1 && (a.y - b.y).abs() <= 1;
    for corner in points(wanted) {
        assert!(found.iter().any(|f| near(f, &corner)), "{id}: no corner at {corner:?} nm among {found:?}");
    }
    assert!(!all || found.len() == wanted.len(), "{id}: {} corners, expected {}", found.len(), wanted.len());
}

/// Least and greatest corner.
pub fn extent(image: &Image) -> (Point, Point) {
    let found = corners(image);
    let least = Point::new(found.iter().map(|p| p.x).min().unwrap_or(0), found.iter().map(|p| p.y).min().unwrap_or(0));
    let most = Point::new(found.iter().map(|p| p.x).max().unwrap_or(0), found.iter().map(|p| p.y).max().unwrap_or(0));
    (least, most)
}
