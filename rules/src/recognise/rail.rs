//! Rails and coupons of an array: pieces that break off from the boards, with what stands on them.

use landgap_parser::{Nm, Point};

use super::{Ground, Lands, perforation, score_line};
use crate::board::{Board, Feature, FeatureKind};
use crate::geometry::distance::{Segment, float, round};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, Island, engine, image};

/// Width of the cut that parts two pieces where they are broken.
const CUT: f64 = 1_000.0;
/// What is left of a cut along an edge is narrower than this.
const SPECK: Nm = 200_000;
/// Cuts reach a little beyond the edges they run between.
const BEYOND: f64 = 100_000.0;
/// A board of an array has at least so many lands.
const BOARD: usize = 10;
/// A rail has less than this share of the lands of the fullest piece, in hundredths.
const SHARE: usize = 15;
/// More pieces than this are no array.
const MOST: usize = 5_000;

/// One feature a rail. The size is its breadth, where it is straight; its holes are those that stand on it.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let cuts = cuts(board, ground, lands);
    let pieces = pieces(ground, &cuts);
    if cuts.is_empty() || pieces.len() < 2 || pieces.len() > MOST {
        return Vec::new();
    }
    let index = EdgeIndex::new(&pieces);
    let mut holes: Vec<Vec<u32>> = vec![Vec::new(); pieces.len()];
    for (number, hole) in (0u32..).zip(&board.holes) {
        if let Some(piece) = index.island_at(hole.at()) {
            holes[piece as usize].push(number);
        }
    }
    let mut count = vec![0usize; pieces.len()];
    let last = board.copper.len() as u32;
    for land in lands.all().iter().filter(|l| l.layer == 1 || l.layer == last) {
        if let Some(piece) = index.island_at(land.at) {
            count[piece as usize] += 1;
        }
    }
    let fullest = count.iter().copied().max().unwrap_or(0);
    let is_board = |i: usize| count[i] >= BOARD && count[i] * 100 >= fullest * SHARE;
    let boards: Vec<Bounds> = (0..pieces.len()).filter(|i| is_board(*i)).map(|i| pieces[i].bounds).collect();
    if boards.is_empty() {
        return Vec::new();
    }
    let rails = (0..pieces.len()).filter(|i| !is_board(*i));
    rails.map(|i| rail(&pieces[i], std::mem::take(&mut holes[i]), count[i], &boards)).collect()
}

fn rail(piece: &Island, holes: Vec<u32>, lands: usize, boards: &[Bounds]) -> Feature {
    let around = piece.bounds;
    let mut feature = Feature::new(FeatureKind::Rail, None, around.middle()).because(format!(
        "it breaks off from {} board(s) along score lines or perforations, and holds {} hole(s) and {lands} land(s)",
        boards.len(),
        holes.len()
    ));
    let goes_round = boards.iter().any(|b| around.holds(b.middle()));
    feature.size = (!goes_round).then(|| around.width().min(around.height()));
    feature.bounds = Some(around);
    feature.holes = holes;
    feature
}

/// Where the board is meant to break: score lines and perforations, each as a thin area.
fn cuts(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Vec<Point>> {
    let rows = perforation::of(board, ground, lands).into_iter().filter_map(|f| f.between);
    let lines = score_line::of(board, ground, lands).into_iter().flat_map(|f| f.parts).map(|p| (p.from, p.to));
    rows.chain(lines).filter(|(a, b)| a != b).map(|(a, b)| thin(Segment { a, b })).collect()
}

fn thin(s: Segment) -> Vec<Point> {
    let ((ax, ay), (bx, by)) = (float(s.a), float(s.b));
    let length = (bx - ax).hypot(by - ay);
    let (ux, uy) = ((bx - ax) / length, (by - ay) / length);
    let corner =
        |x: f64, y: f64, along: f64, aside: f64| round((x + ux * along - uy * aside, y + uy * along + ux * aside));
    let half = CUT / 2.0;
    vec![
        corner(ax, ay, -BEYOND, -half),
        corner(bx, by, BEYOND, -half),
        corner(bx, by, BEYOND, half),
        corner(ax, ay, -BEYOND, half),
    ]
}

/// The material inside the outline, parted at the cuts.
fn pieces(ground: &Ground<'_>, cuts: &[Vec<Point>]) -> Vec<Island> {
    let Some(edge) = ground.edge else { return Vec::new() };
    let contours = &ground.geometry.outline;
    // How many other contours go round each: none or an even number round a board's edge.
    let depth: Vec<usize> = contours.iter().map(|c| edge.index.enclosing(inner_point(c)).saturating_sub(1)).collect();
    let wound = |c: &Vec<Point>| {
        let mut c = c.clone();
        if engine::doubled_area(&c) < 0 {
            c.reverse();
        }
        c
    };
    let mut out = Vec::new();
    for (own, contour) in contours.iter().enumerate().filter(|(i, _)| depth[*i].is_multiple_of(2)) {
        let around = Bounds::of(contour);
        let within = |i: usize| depth[i] == depth[own] + 1 && around.meets(&Bounds::of(&contours[i]));
        let mut taken: Vec<Vec<Point>> =
            (0..contours.len()).filter(|i| within(*i)).map(|i| wound(&contours[i])).collect();
        taken.extend(cuts.iter().filter(|c| around.meets(&Bounds::of(c))).map(wound));
        for polygon in engine::difference(&[wound(contour)], &taken) {
            let source = crate::board::Source { file: 0, line: 0 };
            let bounds = image::bounds_of(&polygon[..1]);
            if bounds.width().min(bounds.height()) > SPECK {
                out.push(Island { contours: polygon, bounds, net: 0, source });
            }
        }
    }
    out
}

/// A point just inside a contour: beside the middle of its longest side.
fn inner_point(contour: &[Point]) -> Point {
    let sides = || contour.iter().zip(contour.iter().cycle().skip(1));
    let Some((a, b)) = sides().max_by(|(a, b), (c, d)| a.distance(**b).total_cmp(&c.distance(**d))) else {
        return Point::default();
    };
    let left = if engine::doubled_area(contour) >= 0 { 1.0 } else { -1.0 };
    let ((ax, ay), (bx, by)) = (float(*a), float(*b));
    let length = (bx - ax).hypot(by - ay).max(1.0);
    let by_side = 1_000.0 * left / length;
    round((f64::midpoint(ax, bx) - (by - ay) * by_side, f64::midpoint(ay, by) + (bx - ax) * by_side))
}
