//! The one door to the polygon boolean library.
//!
//! Works on 32-bit integers at one nanometre: exact up to ±1.07 m, and the reader admits no
//! coordinate beyond one metre. Input contours must wind positively where they hold material
//! (outer counter-clockwise, holes clockwise), so that overlapping objects only ever add.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use landgap_parser::Point;

/// A polygon: outer contour first (counter-clockwise), then its holes (clockwise).
pub type Polygon = Vec<Vec<Point>>;

fn to_engine(contour: &[Point]) -> Vec<IntPoint<i32>> {
    contour.iter().map(|p| IntPoint::new(clamp(p.x), clamp(p.y))).collect()
}

fn clamp(value: i64) -> i32 {
    value.clamp(-1_073_741_823, 1_073_741_823) as i32
}

fn from_engine(shapes: Vec<Vec<Vec<IntPoint<i32>>>>) -> Vec<Polygon> {
    let point = |p: IntPoint<i32>| Point::new(i64::from(p.x), i64::from(p.y));
    let contour = |c: Vec<IntPoint<i32>>| c.into_iter().map(point).collect();
    shapes.into_iter().map(|s| s.into_iter().map(contour).collect()).collect()
}

fn run(subject: &[Vec<Point>], clip: &[Vec<Point>], rule: OverlayRule) -> Vec<Polygon> {
    let subject: Vec<_> = subject.iter().map(|c| to_engine(c)).collect();
    let clip: Vec<_> = clip.iter().map(|c| to_engine(c)).collect();
    let mut overlay = Overlay::<i32>::from_subj_and_clip(&subject, &clip);
    from_engine(overlay.overlay(rule, FillRule::NonZero))
}

/// The union of all contours, non-zero winding.
#[must_use]
pub fn union(contours: &[Vec<Point>]) -> Vec<Polygon> {
    if contours.is_empty() {
        return Vec::new();
    }
    run(contours, &[], OverlayRule::Subject)
}

/// What is left of `subject` without `clip`.
#[must_use]
pub fn difference(subject: &[Vec<Point>], clip: &[Vec<Point>]) -> Vec<Polygon> {
    run(subject, clip, OverlayRule::Difference)
}

/// What `subject` and `clip` share.
#[must_use]
pub fn intersection(subject: &[Vec<Point>], clip: &[Vec<Point>]) -> Vec<Polygon> {
    run(subject, clip, OverlayRule::Intersect)
}

/// Twice the signed area of a contour in nm²; positive when counter-clockwise.
#[must_use]
pub fn doubled_area(contour: &[Point]) -> i128 {
    let next = contour.iter().cycle().skip(1);
    contour.iter().zip(next).map(|(a, b)| i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)).sum()
}

/// Area of a polygon in square millimetres.
#[must_use]
pub fn area_mm2(polygon: &[Vec<Point>]) -> f64 {
    let doubled: i128 = polygon.iter().map(|c| doubled_area(c)).sum();
    doubled as f64 / 2.0 / 1e12
}
