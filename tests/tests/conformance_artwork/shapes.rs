//! Standard apertures and macro primitives: chapters 4.4 and 4.5. Areas derived in closed form.

use super::harness::*;
use landgap_parser::Edge;

const DEPRECATED: &[&str] = &["info artwork-macro-deprecated"];

#[test]
fn g_040_to_g_055_areas() {
    check_all(&[
        ("G-040", "4.4-standard-apertures/circle-with-hole", &[], 1, 0.147262, 2.36),
        ("G-041", "4.4-standard-apertures/obround", &[], 1, 10.509292, 8.17),
        ("G-042", "4.4-standard-apertures/polygon-of-six", &[], 1, 10.392305, 0.0),
        ("G-043", "4.4-standard-apertures/polygon-of-three", &[], 1, 0.324760, 0.0),
        ("G-044", "4.5-macros/polygon-of-eight", &[], 1, 45.254834, 0.0),
        ("G-045", "4.5-macros/vector-line", &[], 1, 10.8, 0.0),
        ("G-046", "4.5-macros/centre-line-rotated", &[], 1, 8.16, 0.0),
        ("G-047", "4.5-macros/lower-left-line", DEPRECATED, 1, 8.16, 0.0),
        ("G-048", "4.5-macros/outline-rotated", &[], 1, 1.0, 0.0),
        ("G-049", "4.5-macros/thermal-diagonal", &[], 1, 0.202196, 4.24),
        ("G-050", "4.5-macros/thermal-straight", &[], 1, 1.527563, 10.1),
        ("G-051", "4.5-macros/thermal-without-inner-circle", &[], 1, 0.284524, PI),
        ("G-052", "4.5-macros/moire-two-rings", DEPRECATED, 1, 11.785502, 44.0),
        ("G-054", "4.5-macros/rounded-box", &[], 4, 4.0 * 7.785398, 12.6),
        ("G-055", "4.5-macros/square-less-disc", &[], 1, 80.365046, 15.7),
    ]);
}

// 4.4.5, 4.5.1.7: at rotation 0 a corner lies on the positive x axis.
#[test]
fn g_042_to_g_044_first_corner() {
    let rows = [
        ("G-042", "4.4-standard-apertures/polygon-of-six", 2.0, 6),
        ("G-043", "4.4-standard-apertures/polygon-of-three", 0.5, 3),
        ("G-044", "4.5-macros/polygon-of-eight", 4.0, 8),
    ];
    for (id, name, x, count) in rows {
        let art = load(id, name);
        expect_corners(id, &art.image, &[(x, 0.0)], false);
        assert_eq!(corners(&art.image).len(), count, "{id}: corners");
    }
}

// 4.5.1.4, 4.5.1.5, 4.5.1.6, 8.2.5: rotation is about the macro origin, not the shape's centre.
#[test]
fn g_045_to_g_048_corners() {
    type Corners = (&'static str, &'static str, &'static [(f64, f64)]);
    let rows: [Corners; 4] = [
        ("G-045", "vector-line", &[(0.0, 0.0), (12.0, 0.0), (12.0, 0.9), (0.0, 0.9)]),
        ("G-046", "centre-line-rotated", &[(0.0, 0.0), (5.888973, 3.4), (5.288973, 4.439230), (-0.6, 1.039230)]),
        ("G-047", "lower-left-line", &[(0.0, 0.0), (6.8, 0.0), (6.8, 1.2), (0.0, 1.2)]),
        ("G-048", "outline-rotated", &[(1.366025, -0.366025), (0.366025, 1.366025), (1.232051, 1.866025)]),
    ];
    for (id, name, wanted) in rows {
        expect_corners(id, &load(id, &format!("4.5-macros/{name}")).image, wanted, true);
    }
}

// 4.5.1.8: four pieces, gaps on the axes at rotation 0; a gap over ID / √2 leaves no inner circle.
#[test]
fn g_049_to_g_051_pieces() {
    let rows = [
        ("G-049", "thermal-diagonal", 2),
        ("G-050", "thermal-straight", 2),
        ("G-051", "thermal-without-inner-circle", 1),
    ];
    for (id, name, arcs) in rows {
        let art = load(id, &format!("4.5-macros/{name}"));
        assert_eq!(islands(&art.image).len(), 4, "{id}: pieces");
        let pieces = &parts(id, &art.image)[0].contours;
        let curved = |e: &&Edge| matches!(e, Edge::Arc { .. });
        let found: Vec<usize> = pieces.iter().map(|c| c.edges.iter().filter(curved).count()).collect();
        assert_eq!(found, [arcs; 4], "{id}: arcs of each piece");
    }
    // Gaps on the axes at rotation 0, on the diagonals at 45°: no corner within half the gap of them.
    let straight = corners(&load("G-050", "4.5-macros/thermal-straight").image);
    assert!(straight.iter().all(|p| p.x.abs() >= 149_999 && p.y.abs() >= 149_999), "G-050: {straight:?}");
    let diagonal = corners(&load("G-049", "4.5-macros/thermal-diagonal").image);
    let reach = |p: &landgap_parser::Point| ((p.x - p.y).abs().min((p.x + p.y).abs())) as f64 / 2f64.sqrt();
    assert!(diagonal.iter().all(|p| reach(p) >= 62_498.0), "G-049: {diagonal:?}");
}

// 8.2.6: rings shrink by ring and gap on both sides; the inner circle of each is cut in.
#[test]
fn g_052_g_053_rings() {
    type Rings = (&'static str, &'static str, &'static [(i64, i64)], (i64, i64));
    let rows: [Rings; 2] = [
        ("G-052", "moire-two-rings", &[(5_000_000, 4_000_000), (3_000_000, 2_000_000)], (6_000_000, 100_000)),
        (
            "G-053",
            "moire-three-rings",
            &[(1_250_000, 1_050_000), (850_000, 650_000), (450_000, 250_000)],
            (1_500_000, 30_000),
        ),
    ];
    for (id, name, wanted, (long, thick)) in rows {
        let art = load(id, &format!("4.5-macros/{name}"));
        expect_said(id, &art, DEPRECATED);
        let contours = &parts(id, &art.image)[0].contours;
        let diameters: Vec<(i64, i64)> = contours
            .iter()
            .filter(|c| matches!(c.edges[0], Edge::Arc { .. }))
            .map(|c| (2 * c.start.x, 2 * c.edges[1].to().x))
            .collect();
        assert_eq!(diameters, wanted, "{id}: outer and inner diameters");
        let bars: Vec<(i64, i64)> = contours
            .iter()
            .filter(|c| matches!(c.edges[0], Edge::Line { .. }))
            .map(|c| (2 * c.edges[1].to().x, 2 * c.edges[1].to().y))
            .collect();
        assert_eq!(bars, [(long, thick), (thick, long)], "{id}: bars of the cross");
    }
    // Rings and the cross over them: each arm adds what lies between and outside the rings.
    let image = load("G-053", "4.5-macros/moire-three-rings").image;
    expect_area("G-053", area(&image), moire_area(&[(1.25, 1.05), (0.85, 0.65), (0.45, 0.25)], 0.03, 1.5), 14.1);
}

/// Rings about one centre and a cross over them, in closed form: along an arm of half width `h`, the
/// part within radius r has the area h√(r²−h²) + r² asin(h/r), of which the two arms share (2h)².
fn moire_area(rings: &[(f64, f64)], thick: f64, long: f64) -> f64 {
    let h = thick / 2.0;
    let bar = |r: f64| 2.0 * (h * (r * r - h * h).sqrt() + r * r * (h / r).asin());
    let cross = |r: f64| 2.0 * bar(r) - thick * thick;
    let whole = 2.0 * thick * long - thick * thick;
    rings.iter().fold(whole, |sum, (outer, inner)| {
        let ring = PI / 4.0 * (outer * outer - inner * inner);
        sum + ring - (cross(outer / 2.0) - cross(inner / 2.0))
    })
}

// The closed form above gives G-052's number too.
#[test]
fn g_052_closed_form() {
    let wanted = moire_area(&[(5.0, 4.0), (3.0, 2.0)], 0.1, 6.0);
    assert!((wanted - 11.785502).abs() < 1e-6, "G-052: {wanted}");
}

// 4.5.1, 4.5.3: rotation keeps the area.
#[test]
fn g_054_same_area_at_any_rotation() {
    let found = islands(&load("G-054", "4.5-macros/rounded-box").image);
    assert_eq!(found.len(), 4, "G-054");
    found.iter().for_each(|a| expect_area("G-054", *a, 7.785398, PI));
}
