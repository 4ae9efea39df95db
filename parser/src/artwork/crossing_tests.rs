use super::*;
use crate::image::Edge;

fn contour(points: &[(Nm, Nm)]) -> Contour {
    let at = |p: &(Nm, Nm)| Point::new(p.0, p.1);
    let edges = points[1..].iter().chain(&points[..1]).map(|p| Edge::Line { to: at(p) }).collect();
    Contour { start: at(&points[0]), edges, line: 1 }
}

fn found(contour: &Contour) -> Option<Fault> {
    find(contour, 10, &mut Work::new(400_000_000)).expect("few pairs")
}

fn how(points: &[(Nm, Nm)]) -> Option<(How, Point)> {
    found(&contour(points)).map(|f| (f.how, f.at))
}

#[test]
fn crossings_and_overlaps_are_found() {
    let bow = [(0, 0), (1000, 1000), (1000, 0), (0, 1000)];
    assert_eq!(how(&bow), Some((How::Crosses, Point::new(500, 500))));
    let spike = [(0, 0), (1000, 0), (1000, 1000), (500, 1000), (500, 2000), (500, 1000), (0, 1000)];
    assert_eq!(how(&spike), None);
    let part = [(0, 0), (1000, 0), (1000, 1000), (500, 1000), (500, 2000), (500, 1500), (500, 1000), (0, 1000)];
    assert_eq!(how(&part), Some((How::Overlaps, Point::new(500, 1500))));
}

#[test]
fn touching_is_told_apart_and_rounding_passes() {
    let touching = [(0, 0), (1000, 0), (1000, 1000), (500, 0), (0, 1000)];
    assert_eq!(how(&touching), Some((How::Touches, Point::new(500, 0))));
    assert_eq!(how(&[(0, 0), (1000, 0), (1000, 1000), (500, -9), (0, 1000)]), None);
    assert!(matches!(how(&[(0, 0), (1000, 0), (1000, 1000), (500, -30), (0, 1000)]), Some((How::Crosses, _))));
    let metre = 1_000_000_000;
    let far = [(-metre, -metre), (metre, metre), (metre, -metre), (-metre, metre)];
    assert_eq!(how(&far), Some((How::Crosses, Point::new(0, 0))));
}

/// A bow-tie has a half gone round the wrong way; a pentagram an inner pentagon gone round twice:
/// of circumradius R, 5/2·R²·sin 72° ÷ φ⁴ (the inner pentagon is φ² times smaller).
#[test]
fn what_is_unclear_has_its_area() {
    let bow = found(&contour(&[(0, 0), (10_000, 10_000), (10_000, 0), (0, 10_000)])).and_then(|f| f.areas);
    let areas = bow.expect("a crossing with areas");
    assert!((areas.filled - 5e7).abs() < 1.0 && (areas.unclear - 2.5e7).abs() < 1.0, "{areas:?}");
    let radius = 10_000_000.0;
    let star: Vec<(Nm, Nm)> = (0..5u32)
        .map(|i| {
            let (sin, cos) = (f64::from(i) * 144f64.to_radians()).sin_cos();
            ((radius * cos).round() as Nm, (radius * sin).round() as Nm)
        })
        .collect();
    let areas = found(&contour(&star)).and_then(|f| f.areas).expect("a crossing with areas");
    let golden = f64::midpoint(1.0, 5f64.sqrt());
    let inner = 2.5 * radius * radius * 72f64.to_radians().sin() / golden.powi(4);
    assert!((areas.unclear / inner - 1.0).abs() < 1e-6, "{areas:?} {inner}");
}

/// A square gone round twice has no edges that cross, and yet all of it is unclear.
#[test]
fn a_contour_drawn_twice_is_unclear_as_a_whole() {
    let square = [(0, 0), (10_000, 0), (10_000, 10_000), (0, 10_000)];
    let fault = found(&contour(&[square, square].concat())).expect("a fault");
    assert_eq!(fault.how, How::Twice);
    let areas = fault.areas.expect("areas");
    assert!((areas.unclear - 1e8).abs() < 1.0 && (areas.filled - 1e8).abs() < 1.0, "{areas:?}");
}

/// Two half discs wound against one another: an arc crosses a straight edge away from all corners.
#[test]
fn arcs_cross_as_arcs_not_as_chords() {
    // The chord of the arc lies on y = 0; only its bulge (radius 1000, up) crosses the line at y = 500.
    let arc = |to, centre| Edge::Arc { to, centre, counter_clockwise: false };
    let p = Point::new;
    let edges = vec![
        arc(p(1_000_000, 0), p(0, 0)),
        Edge::Line { to: p(3_000_000, 500_000) },
        Edge::Line { to: p(-3_000_000, 500_000) },
        Edge::Line { to: p(-1_000_000, 0) },
    ];
    let fault = found(&Contour { start: p(-1_000_000, 0), edges, line: 1 }).expect("a crossing");
    assert_eq!(fault.how, How::Crosses);
    // The cap above y = 500 of a circle of radius 1000: R²·(acos(h/R) − h/R·√(1 − h²/R²)).
    let cap = 1e12 * (0.5f64.acos() - 0.5 * 0.75f64.sqrt());
    let areas = fault.areas.expect("areas");
    let trapezium = (6e6 + 2e6) / 2.0 * 0.5e6;
    let below = std::f64::consts::PI / 2.0 * 1e12 - cap;
    assert!((areas.filled / (trapezium - below + cap) - 1.0).abs() < 1e-3, "{areas:?}");
    assert!((areas.unclear / cap - 1.0).abs() < 1e-3, "{areas:?} {cap}");
}

#[test]
fn the_work_is_bounded() {
    let bow = contour(&[(0, 0), (1000, 1000), (1000, 0), (0, 1000)]);
    assert_eq!(find(&bow, 10, &mut Work { pairs: 1, rays: 0 }), Err(TooMany));
    let unknown = find(&bow, 10, &mut Work { pairs: 1000, rays: 1 }).expect("few pairs").expect("a crossing");
    assert_eq!(unknown.areas, None);
}
