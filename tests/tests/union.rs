//! The union of a layer's objects against closed forms and against one sweep over everything.

use std::f64::consts::PI;

use landgap_parser::Point;
use landgap_rules::geometry::engine::{self, Polygon};
use landgap_rules::geometry::flatten::{FLATTENING, capsule, circle};
use landgap_rules::geometry::union::union;

const MM: i64 = 1_000_000;

fn rectangle(x: i64, y: i64, width: i64, height: i64) -> Polygon {
    vec![vec![Point::new(x, y), Point::new(x + width, y), Point::new(x + width, y + height), Point::new(x, y + height)]]
}

fn area(polygons: &[Polygon]) -> f64 {
    polygons.iter().map(|p| engine::area_mm2(p)).sum()
}

fn counts(polygons: &[Polygon]) -> (usize, usize) {
    (polygons.len(), polygons.iter().map(|p| p.len() - 1).sum())
}

/// Flattened curves lie within the stated tolerance of the true ones.
fn agrees(found: f64, truth: f64, boundary_mm: f64) {
    let tolerance = boundary_mm * FLATTENING as f64 / 1e6;
    assert!((found - truth).abs() <= tolerance, "{found} mm2, closed form {truth} mm2, tolerance {tolerance}");
}

/// Lens of two equal discs, plane geometry: 2 r² acos(d/2r) − d/2 √(4r² − d²).
#[test]
fn two_discs_less_their_lens() {
    let (r, d) = (1.0_f64, 1.2_f64);
    let lens = 2.0 * r * r * (d / 2.0 / r).acos() - d / 2.0 * (4.0 * r * r - d * d).sqrt();
    let made = union(vec![vec![circle(Point::default(), 1e6)], vec![circle(Point::new(1_200_000, 0), 1e6)]]);
    assert_eq!(counts(&made), (1, 0));
    agrees(area(&made), 2.0 * PI - lens, 4.0 * PI);
}

/// A square frame of strokes: four sides 2·r wide, rounded outside, sharp inside: closed form.
#[test]
fn a_frame_of_strokes_keeps_the_hole_in_its_middle() {
    let at = |x: i64, y: i64| Point::new(x * 10 * MM, y * 10 * MM);
    let corners = [at(0, 0), at(1, 0), at(1, 1), at(0, 1)];
    let strokes = (0..4).map(|i| vec![capsule(corners[i], corners[(i + 1) % 4], 1e6)]).collect();
    let made = union(strokes);
    assert_eq!(counts(&made), (1, 1));
    agrees(area(&made), 100.0 + 40.0 + PI - 64.0, 40.0 + 2.0 * PI + 32.0);
}

/// A hatch closer than its pen fills the box swept by its strokes; many groups, joined in rounds.
#[test]
fn a_dense_hatch_is_one_filled_area() {
    let pitch = 25_000;
    let rows = 2_000;
    let stroke = |i: i64| vec![capsule(Point::new(0, i * pitch), Point::new(20 * MM, i * pitch), 100_000.0)];
    let made = union((0..rows).map(stroke).collect());
    assert_eq!(counts(&made), (1, 0));
    let tall = (rows - 1) as f64 * 0.025;
    let scallop = 2.0 * tall * 0.000_8;
    let truth = 20.0 * (tall + 0.2) + 0.2 * tall + PI * 0.01;
    let found = area(&made);
    assert!(found <= truth + 0.02 && found >= truth - scallop - 0.05, "{found} mm2, swept area {truth} mm2");
}

#[test]
fn squares_that_abut_make_one_square() {
    let tiles = (0..40).flat_map(|x| (0..40).map(move |y| rectangle(x * MM, y * MM, MM, MM))).collect();
    let made = union(tiles);
    assert_eq!(counts(&made), (1, 0));
    assert!((area(&made) - 1600.0).abs() < 1e-9);
    assert_eq!(made[0][0].len(), 4, "no corner is left on a straight side");
}

#[test]
fn equal_objects_count_once_and_those_inside_others_not_at_all() {
    let one = rectangle(0, 0, 10 * MM, 10 * MM);
    let alone = union(vec![one.clone()]);
    let mut many = vec![one; 500];
    many.extend((0..500).map(|i| vec![circle(Point::new(5 * MM + i * 100, 5 * MM), 1e6)]));
    many.push(vec![circle(Point::new(MM, 5 * MM), 1e6)]);
    let made = union(many);
    assert_eq!(counts(&made), (1, 0));
    assert!(
        (area(&made) - area(&alone)).abs() < 1e-4,
        "the disc that touches the side from inside adds only its flattening"
    );
}

/// An object's own hole stays unless another object covers it.
#[test]
fn holes_of_objects_are_kept_and_filled() {
    let mut hole = circle(Point::default(), 1e6);
    hole.reverse();
    let ring = vec![circle(Point::default(), 2e6), hole];
    let made = union(vec![ring.clone()]);
    assert_eq!(counts(&made), (1, 1));
    agrees(area(&made), 3.0 * PI, 6.0 * PI);
    let filled = union(vec![ring, vec![circle(Point::default(), 1.5e6)]]);
    assert_eq!(counts(&filled), (1, 0));
    agrees(area(&filled), 4.0 * PI, 4.0 * PI);
}

/// Numbers without order from a fixed start (the 64-bit mixer of Steele, Lea and Flood 2014).
struct Mixer(u64);

impl Mixer {
    fn below(&mut self, limit: i64) -> i64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % limit as u64) as i64
    }
}

fn scene(seed: u64, objects: usize, side: i64) -> Vec<Polygon> {
    let mut mixer = Mixer(seed);
    let mut made = Vec::with_capacity(objects);
    for _ in 0..objects {
        let at = Point::new(mixer.below(side), mixer.below(side));
        let to = Point::new(at.x + mixer.below(4 * MM) - 2 * MM, at.y + mixer.below(4 * MM) - 2 * MM);
        made.push(match mixer.below(3) {
            0 => vec![circle(at, (100_000 + mixer.below(900_000)) as f64)],
            1 => vec![capsule(at, to, (50_000 + mixer.below(200_000)) as f64)],
            _ => rectangle(at.x, at.y, 100_000 + mixer.below(MM), 100_000 + mixer.below(MM)),
        });
    }
    made
}

/// Against one sweep over all objects, thin and dense scenes. Crossings are rounded to the nanometre
/// in other places, so areas may differ by a few nanometres along the boundary and no more.
#[test]
fn random_scenes_equal_one_sweep() {
    for (seed, objects, side) in [(1, 300, 60), (2, 1500, 100), (3, 1500, 40), (4, 4000, 120)] {
        let objects = scene(seed, objects, side * MM);
        let sweep = engine::union(&objects.iter().flatten().cloned().collect::<Vec<_>>());
        let made = union(objects);
        let around: f64 = sweep.iter().flatten().map(|c| length(c)).sum::<f64>() / 1e6;
        let difference = (area(&made) - area(&sweep)).abs();
        assert!(difference <= around * 3e-6, "scene {seed}: areas differ by {difference} mm2 over {around} mm");
        assert_eq!(counts(&made), counts(&sweep), "scene {seed}: islands, holes");
    }
}

fn length(contour: &[Point]) -> f64 {
    contour.iter().zip(contour.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

/// Moving the board by whole nanometres moves the image and changes nothing else; nor does file order.
#[test]
fn neither_place_nor_order_matters() {
    let (dx, dy) = (123_456_789, -87_654_321);
    let plain = scene(9, 2_000, 60 * MM);
    let moved = |c: &Vec<Point>| c.iter().map(|p| Point::new(p.x + dx, p.y + dy)).collect::<Vec<_>>();
    let shifted: Vec<Polygon> = plain.iter().map(|o| o.iter().map(moved).collect()).collect();
    let backwards: Vec<Polygon> = plain.iter().rev().cloned().collect();
    let first = union(plain);
    assert_eq!(first, union(backwards));
    assert_eq!(sorted(first.iter().map(|o| o.iter().map(moved).collect()).collect()), sorted(union(shifted)));
}

fn sorted(mut polygons: Vec<Polygon>) -> Vec<Polygon> {
    polygons.sort();
    polygons
}

/// Squares that meet in one corner: whatever one sweep makes of them, rounds make the same.
#[test]
fn squares_that_meet_in_a_corner_are_as_in_one_sweep() {
    let two = vec![rectangle(0, 0, MM, MM), rectangle(MM, MM, MM, MM)];
    let sweep = engine::union(&two.iter().flatten().cloned().collect::<Vec<_>>());
    assert_eq!(counts(&union(two)), counts(&sweep));
}
