//! The public door of the drill reader, with the few questions the tests ask.

use landgap_parser::drill::{self, Format, HitShape, HoleImage, Program};
use landgap_parser::{Edge, Limits, Point, Remark, Severity};

pub fn program(text: &str) -> Program {
    drill::read(text.as_bytes(), &Limits::default()).expect("within limits")
}

/// Reads and decodes with the format the program states.
pub fn image(text: &str) -> HoleImage {
    let program = program(text);
    let format = program.stated.unwrap_or_else(|| panic!("no unit is stated in {text:?}"));
    program.decode(&format, &Limits::default()).expect("within limits")
}

pub fn decode_first(text: &str) -> HoleImage {
    let program = program(text);
    let format: Format = program.candidates()[0];
    program.decode(&format, &Limits::default()).expect("within limits")
}

/// A metric program with points and one tool of 0.5 mm.
pub fn metric(body: &str) -> HoleImage {
    image(&format!("M48\nMETRIC\nT01C0.500\n%\nG05\nT01\n{body}\nM30\n"))
}

pub fn mm(value: f64) -> i64 {
    (value * 1e6).round() as i64
}

pub fn at(x: f64, y: f64) -> Point {
    Point::new(mm(x), mm(y))
}

pub fn holes(image: &HoleImage) -> Vec<Point> {
    let hole = |shape: &HitShape| match shape {
        HitShape::Hole { at } => *at,
        other => panic!("expected a hole, found {other:?}"),
    };
    image.hits.iter().map(|h| hole(&h.shape)).collect()
}

pub fn sorted(mut points: Vec<Point>) -> Vec<Point> {
    points.sort();
    points
}

pub fn only_route(image: &HoleImage) -> (Point, Vec<Edge>) {
    match image.hits.as_slice() {
        [hit] => match &hit.shape {
            HitShape::Route { start, edges } => (*start, edges.clone()),
            other => panic!("expected a route, found {other:?}"),
        },
        other => panic!("expected one hit, found {other:?}"),
    }
}

/// Centre and sense of the only arc of the only route.
pub fn only_arc(image: &HoleImage) -> (Point, bool) {
    match only_route(image).1.as_slice() {
        [Edge::Arc { centre, counter_clockwise, .. }] => (*centre, *counter_clockwise),
        other => panic!("expected one arc, found {other:?}"),
    }
}

pub fn remark<'a>(image: &'a HoleImage, id: &str) -> &'a Remark {
    let ids: Vec<_> = image.remarks.iter().map(|r| r.code.id).collect();
    image.remarks.iter().find(|r| r.code.id == id).unwrap_or_else(|| panic!("no {id} among {ids:?}"))
}

pub fn has(image: &HoleImage, id: &str) -> bool {
    image.remarks.iter().any(|r| r.code.id == id)
}

#[track_caller]
pub fn expect(image: &HoleImage, id: &str, severity: Severity) {
    assert_eq!(remark(image, id).code.severity, severity, "{id}");
}

/// Nothing above a warning.
#[track_caller]
pub fn expect_clean(image: &HoleImage) {
    let worst: Vec<_> = image.remarks.iter().filter(|r| r.code.severity >= Severity::Error).collect();
    assert!(worst.is_empty(), "{worst:?}");
}
