//! Inner corners of the outline: how round they are drawn.
//!
//! Seen along a contour, an inner corner is a turn towards the side that is cut away. Turns that follow each
//! other closely are one rounded corner; its radius is its length over its angle. A turn of less than 60 degrees
//! leaves no more material standing than the tolerance of the edge, and one of more than 150 degrees with a
//! radius is the round end of a slot.

use landgap_parser::{Nm, Point};

use super::{Bench, Found, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::float;
use crate::geometry::edges::EdgeIndex;
use crate::recognise::Places;

/// Radii below this are kept as facts.
const HORIZON: f64 = FactKind::InnerCorner.own_horizon().unwrap() as f64;
/// Turns farther apart than this are corners of their own.
const LINK: f64 = 1_500_000.0;
const LEAST_TURN: f64 = 60.0;
const ROUND_END: f64 = 150.0;
/// Turns below this are no turns but the rounding of the data.
const STRAIGHT: f64 = 0.02;
/// Few turns that would make a rounder corner than this are a chamfer.
const CHAMFER: f64 = 300_000.0;
/// A hole relieves a corner that lies within its wall, give or take this.
const RELIEF: Nm = 10_000;

/// Corners of every contour.
pub(super) fn all(bench: &Bench<'_>) -> Found {
    let Some(edge) = bench.edge else { return Found::default() };
    let contours = &bench.geometry.outline;
    let sides = sides(contours, &edge.index);
    let widest = bench.board.holes.iter().filter_map(|h| h.finished).max().unwrap_or(0);
    let holes = Places::of_holes(bench.board);
    let mut found = Found::default();
    for (number, (contour, side)) in contours.iter().zip(&sides).enumerate() {
        let is_cut_out = is_cut_out(contours, &edge.index, number);
        let width = is_cut_out.then(|| width(contour));
        let corners = of_contour(contour, *side);
        found.looked_at += contour.len() as u64;
        for corner in corners.into_iter().filter(|c| c.radius < HORIZON) {
            let near = holes.within(corner.at, widest / 2 + RELIEF);
            let relief: Vec<u32> = near.filter(|h| relieves(bench, *h, corner.at)).collect();
            found.facts.push(fact(bench, &corner, width, relief));
        }
    }
    found
}

fn relieves(bench: &Bench<'_>, hole: u32, at: Point) -> bool {
    let hole = &bench.board.holes[hole as usize];
    hole.at().distance(at) <= (hole.finished.unwrap_or(0) / 2 + RELIEF) as f64
}

fn fact(bench: &Bench<'_>, corner: &Corner, width: Option<Nm>, holes: Vec<u32>) -> Fact {
    let step = bench.board.outline.step;
    // The radius comes from a length and an angle, both of flattened pieces.
    let flattened = if corner.radius > 0.0 { (corner.radius / 200.0).ceil() as Nm } else { 0 };
    Fact {
        kind: FactKind::InnerCorner,
        layer: None,
        value: corner.radius.round() as Nm,
        uncertainty: uncertainty::boundary(step) + flattened,
        from: corner.at,
        to: corner.at,
        nets: Vec::new(),
        holes,
        sources: super::edge::outline_source(bench).into_iter().collect(),
        length: width,
        run: None,
        same_net: false,
    }
}

fn is_cut_out(contours: &[Vec<Point>], index: &EdgeIndex, number: usize) -> bool {
    contours[number].first().is_some_and(|p| {
        let round = index.enclosers(*p);
        round.iter().filter(|c| **c as usize != number).count() % 2 == 1
    })
}

/// By contour: 1 where material lies to the left of its pieces, -1 where to the right.
pub(super) fn sides(contours: &[Vec<Point>], index: &EdgeIndex) -> Vec<f64> {
    let side = |(number, contour): (usize, &Vec<Point>)| {
        let counter_clockwise = doubled_area(contour) > 0;
        if counter_clockwise == is_cut_out(contours, index, number) { -1.0 } else { 1.0 }
    };
    contours.iter().enumerate().map(side).collect()
}

fn doubled_area(contour: &[Point]) -> i128 {
    let next = contour.iter().cycle().skip(1);
    contour.iter().zip(next).map(|(a, b)| i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)).sum()
}

/// Extent of a contour across its longest piece.
fn width(contour: &[Point]) -> Nm {
    let next = contour.iter().cycle().skip(1);
    let pieces = contour.iter().zip(next);
    let Some((a, b)) = pieces.max_by(|p, q| p.0.distance(*p.1).total_cmp(&q.0.distance(*q.1))) else { return 0 };
    let length = a.distance(*b).max(1.0);
    let (nx, ny) = (-(b.y - a.y) as f64 / length, (b.x - a.x) as f64 / length);
    let off = contour.iter().map(|p| (p.x - a.x) as f64 * nx + (p.y - a.y) as f64 * ny);
    let (low, high) = off.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    (high - low).round() as Nm
}

/// One inner corner.
struct Corner {
    at: Point,
    radius: f64,
}

/// One turn of a contour and the way to the next point.
struct Turn {
    at: Point,
    /// In degrees, above 0 towards what is cut away.
    angle: f64,
    ahead: f64,
}

fn turns(contour: &[Point], side: f64) -> Vec<Turn> {
    let count = contour.len();
    let turn = |i: usize| {
        let (a, b, c) = (float(contour[(i + count - 1) % count]), float(contour[i]), float(contour[(i + 1) % count]));
        let (ux, uy, vx, vy) = (b.0 - a.0, b.1 - a.1, c.0 - b.0, c.1 - b.1);
        let angle = (ux * vy - uy * vx).atan2(ux * vx + uy * vy).to_degrees();
        Turn { at: contour[i], angle: -side * angle, ahead: vx.hypot(vy) }
    };
    (0..count).map(turn).collect()
}

fn of_contour(contour: &[Point], side: f64) -> Vec<Corner> {
    let turns = turns(contour, side);
    // Begin behind a piece that ends every corner, so that none is cut in two.
    let begins = |t: &Turn| t.ahead > LINK || t.angle < -STRAIGHT;
    let start = turns.iter().position(begins).map_or(0, |i| i + 1);
    let mut corners = Vec::new();
    let mut run: Vec<&Turn> = Vec::new();
    for turn in turns.iter().cycle().skip(start).take(turns.len()) {
        if turn.angle < -STRAIGHT {
            corners.extend(corner(&run));
            run.clear();
            continue;
        }
        if turn.angle > STRAIGHT || !run.is_empty() {
            run.push(turn);
        }
        if turn.ahead > LINK {
            corners.extend(corner(&run));
            run.clear();
        }
    }
    corners.extend(corner(&run));
    corners
}

fn corner(run: &[&Turn]) -> Option<Corner> {
    let last = run.iter().rposition(|t| t.angle > STRAIGHT)?;
    let run = &run[..=last];
    // A sharp turn stands for itself, whatever small turns lie beside it.
    let sharpest = run.iter().max_by(|a, b| a.angle.total_cmp(&b.angle))?;
    if sharpest.angle >= LEAST_TURN {
        return Some(Corner { at: sharpest.at, radius: 0.0 });
    }
    let angle: f64 = run.iter().map(|t| t.angle).sum();
    if !(LEAST_TURN..=ROUND_END).contains(&angle) {
        return None;
    }
    let length: f64 = run[..run.len() - 1].iter().map(|t| t.ahead).sum();
    let radius = match run.len() {
        0 | 1 => 0.0,
        // Few straight pieces: the circle that touches them all.
        few @ 2..=4 => {
            let part = (angle / few as f64 / 2.0).to_radians().tan();
            let round = length / (few - 1) as f64 / (2.0 * part);
            // Turns farther apart than a small round corner would have them are chamfers, each open enough by itself.
            Some(round).filter(|r| *r < CHAMFER)?
        }
        _ => length / angle.to_radians(),
    };
    Some(Corner { at: run[run.len() / 2].at, radius })
}
