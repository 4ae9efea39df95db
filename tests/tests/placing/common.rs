//! Sets read and placed.

use std::path::{Path, PathBuf};

use landgap_parser::{Edge, Limits};
use landgap_rules::board::Board;
use landgap_rules::check::{InputFile, Told};
use landgap_rules::place::place;

pub fn shared(folder: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared").join(folder);
    if path.is_dir() {
        return Some(path);
    }
    eprintln!("skipped: the optional checking data in ../shared/{folder} are not there");
    None
}

pub fn read_set(folder: &Path) -> Vec<InputFile> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the set's folder can be read").flatten() {
        let path = entry.file_name().to_string_lossy().into_owned();
        if entry.path().is_file() && path != "truth.json" {
            files.push(InputFile { path, bytes: std::fs::read(entry.path()).expect("the file can be read") });
        }
    }
    files
}

pub fn placed(files: &[InputFile]) -> Board {
    place(files, &Told::new(), &Limits::default(), &|_| {})
}

pub fn own(files: &[(&str, &str)]) -> Board {
    placed(&set(files))
}

pub fn set(files: &[(&str, &str)]) -> Vec<InputFile> {
    files.iter().map(|(path, text)| InputFile { path: (*path).to_owned(), bytes: text.as_bytes().to_vec() }).collect()
}

pub fn doubts(board: &Board) -> Vec<&'static str> {
    let mut rules: Vec<_> = board.doubts.iter().map(|d| d.rule).collect();
    rules.sort_unstable();
    rules
}

/// Area of a contour in mm² with its arcs as they are, by Green's theorem.
fn area_mm2(contour: &landgap_parser::Contour) -> f64 {
    let mut doubled = 0.0;
    let mut at = contour.start;
    for edge in &contour.edges {
        let to = edge.to();
        doubled += (at.x as f64 / 1e6) * (to.y as f64 / 1e6) - (to.x as f64 / 1e6) * (at.y as f64 / 1e6);
        if let Edge::Arc { centre, counter_clockwise, .. } = *edge {
            let angle = |p: landgap_parser::Point| ((p.y - centre.y) as f64).atan2((p.x - centre.x) as f64);
            let turn = std::f64::consts::TAU;
            let mut sweep = (angle(to) - angle(at)).rem_euclid(turn);
            if to == at || sweep == 0.0 {
                sweep = turn;
            } else if !counter_clockwise {
                sweep -= turn;
            }
            if (to == at) && !counter_clockwise {
                sweep = -turn;
            }
            let radius = at.distance(centre) / 1e6;
            doubled += radius * radius * (sweep - sweep.sin());
        }
        at = to;
    }
    (doubled / 2.0).abs()
}

fn centre_of(contour: &landgap_parser::Contour) -> landgap_parser::Point {
    let n = contour.edges.len() as i64;
    contour
        .edges
        .iter()
        .map(Edge::to)
        .fold(landgap_parser::Point::new(0, 0), |sum, p| landgap_parser::Point::new(sum.x + p.x / n, sum.y + p.y / n))
}

fn holds(outer: &landgap_parser::Contour, p: landgap_parser::Point) -> bool {
    let mut inside = false;
    let mut at = outer.start;
    for to in outer.edges.iter().map(Edge::to) {
        if (at.y > p.y) != (to.y > p.y) {
            let x = at.x as f64 + (p.y - at.y) as f64 / (to.y - at.y) as f64 * (to.x - at.x) as f64;
            inside ^= (p.x as f64) < x;
        }
        at = to;
    }
    inside
}

/// Pieces, cut-outs and area of material.
pub fn measure(board: &Board) -> (u64, u64, f64) {
    let contours = &board.outline.contours;
    let (mut pieces, mut cutouts, mut area) = (0, 0, 0.0);
    for (i, contour) in contours.iter().enumerate() {
        let p = contour.edges.first().map_or_else(|| centre_of(contour), Edge::to);
        let depth = contours[..i].iter().filter(|outer| holds(outer, p)).count();
        if depth % 2 == 0 {
            pieces += 1;
            area += area_mm2(contour);
        } else {
            cutouts += 1;
            area -= area_mm2(contour);
        }
    }
    (pieces, cutouts, area)
}
