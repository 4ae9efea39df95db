//! Strokes of one round pen that meet end to end, as one contour instead of many.
//!
//! Every point within the pen's radius of a chain of strokes has a nearest point on the chain's
//! centre line. Where that lies inside a stroke, the point is in the stroke's rectangle; where it is
//! a joint, in the wedge outside the bend; where it is an end, in the end's cap. So rectangles,
//! wedges and the two caps are the whole image of a chain, and the boundary of their sum is a single
//! contour without the caps inside: a third to a tenth of the corners, and hardly a crossing, for
//! the union to work on. Where both strokes are long enough the inner side of a bend is cut to its
//! one corner; else it passes through the joint. Loops then wind positively, as the union wants.

use std::collections::{HashMap, HashSet};

use landgap_parser::Point;

use super::distance::{float, round};
use super::engine::Polygon;
use super::flatten;

/// A straight stroke of a round pen.
#[derive(Clone, Copy, Debug)]
pub struct Stroke {
    /// Start of the centre line.
    pub from: Point,
    /// Its end; equal to `from` for a dot.
    pub to: Point,
    /// Half the pen's width.
    pub radius: f64,
    /// Number of the object in its image.
    pub number: usize,
    /// Only strokes with no clear object drawn between them are joined.
    pub pass: u32,
}

/// Strokes in one contour, so that contours stay where neighbours are.
const LONGEST: usize = 64;

/// Ends in one point that are paired with care; more are paired as they come.
const MANY: usize = 24;

/// A bend whose arc is shorter is none, in nanometres.
const STRAIGHT: f64 = 2.0;

/// Sharper bends pass through the joint on their inner side: cosine of the turn.
const SHARP: f64 = -0.8;

/// One end of a stroke: number of the stroke, and whether it is where the stroke ends.
type End = (usize, bool);

/// Joins strokes to contours, each with the number of one of its objects. `wide` gives the radius of
/// a disc about a point that the same pass covers whole, if any: an end there needs no cap.
#[must_use]
pub fn joined(mut strokes: Vec<Stroke>, wide: impl Fn(u32, Point) -> f64) -> Vec<(usize, Polygon)> {
    strokes.iter_mut().filter(|s| s.to < s.from).for_each(|s| std::mem::swap(&mut s.from, &mut s.to));
    strokes.sort_by(|a, b| key(a).cmp(&key(b)).then((a.from, a.to, a.number).cmp(&(b.from, b.to, b.number))));
    strokes.dedup_by(|a, b| key(a) == key(b) && (a.from, a.to) == (b.from, b.to));
    let (dots, strokes): (Vec<Stroke>, Vec<Stroke>) = strokes.into_iter().partition(|s| s.from == s.to);
    let dots = dots.into_iter().map(|s| (s.number, vec![flatten::circle(s.from, s.radius)]));
    let joints = Joints::of(&strokes, wide);
    dots.chain(joints.chains(&strokes)).collect()
}

/// What strokes that are joined have in common.
const fn key(s: &Stroke) -> (u32, u64) {
    (s.pass, s.radius.to_bits())
}

fn end_of(strokes: &[Stroke], (stroke, at_end): End) -> Point {
    if at_end { strokes[stroke].to } else { strokes[stroke].from }
}

/// Which ends are joined, and which need no cap.
struct Joints {
    partner: HashMap<End, End>,
    bare: HashSet<End>,
}

impl Joints {
    fn of(strokes: &[Stroke], wide: impl Fn(u32, Point) -> f64) -> Self {
        let mut ends: Vec<End> = (0..strokes.len()).flat_map(|i| [(i, false), (i, true)]).collect();
        let place = |end: &End| (key(&strokes[end.0]), end_of(strokes, *end));
        ends.sort_by_key(|end| (place(end), *end));
        let mut joints = Self { partner: HashMap::new(), bare: HashSet::new() };
        for met in ends.chunk_by(|a, b| place(a) == place(b)) {
            joints.meet(strokes, met, &wide);
        }
        joints
    }

    /// Joins the ends that meet in one point, the straightest first.
    fn meet(&mut self, strokes: &[Stroke], met: &[End], wide: impl Fn(u32, Point) -> f64) {
        let away = |end: End| away(strokes, end);
        let mut pairs: Vec<(f64, End, End)> = Vec::new();
        if met.len() <= MANY {
            for (i, a) in met.iter().enumerate() {
                let da = away(*a);
                pairs.extend(met[i + 1..].iter().map(|b| (dot(da, away(*b)), *a, *b)));
            }
            pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        } else {
            pairs.extend(met.chunks_exact(2).map(|two| (0.0, two[0], two[1])));
        }
        let mut covered = false;
        for (_, a, b) in pairs {
            if !self.partner.contains_key(&a) && !self.partner.contains_key(&b) {
                self.partner.insert(a, b);
                self.partner.insert(b, a);
                covered |= [a, b].iter().all(|end| length(&strokes[end.0]) >= strokes[end.0].radius);
            }
        }
        let first = &strokes[met[0].0];
        covered |= wide(first.pass, end_of(strokes, met[0])) >= first.radius;
        if covered {
            self.bare.extend(met.iter().filter(|end| !self.partner.contains_key(*end)));
        }
    }

    /// Walks along the joints, first from loose ends, then round what is left.
    fn chains(&self, strokes: &[Stroke]) -> Vec<(usize, Polygon)> {
        let mut used = vec![false; strokes.len()];
        let mut out = Vec::new();
        let loose = |i: usize| [(i, false), (i, true)].into_iter().find(|end| !self.partner.contains_key(end));
        for (i, start) in (0..strokes.len()).filter_map(|i| Some((i, loose(i)?))) {
            if !used[i] {
                self.walk(strokes, start, &mut used, &mut out);
            }
        }
        for i in 0..strokes.len() {
            if !used[i] {
                self.walk(strokes, (i, false), &mut used, &mut out);
            }
        }
        out
    }

    /// One chain from the end it starts with.
    fn walk(&self, strokes: &[Stroke], start: End, used: &mut [bool], out: &mut Vec<(usize, Polygon)>) {
        let mut points = vec![end_of(strokes, start)];
        let (mut entered, mut closed) = (start, false);
        let last = loop {
            used[entered.0] = true;
            let left = (entered.0, !entered.1);
            points.push(end_of(strokes, left));
            match self.partner.get(&left) {
                Some(next) if *next == start => {
                    closed = true;
                    break left;
                }
                Some(next) if !used[next.0] => entered = *next,
                _ => break left,
            }
        };
        let Stroke { radius, number, .. } = strokes[start.0];
        if closed && points.len() <= LONGEST + 1 {
            points.pop();
            out.push((number, ring(&points, radius)));
            return;
        }
        let pieces = (points.len() - 1).div_ceil(LONGEST);
        for (i, piece) in cut(&points).enumerate() {
            let capped = |end: End, whole: bool| whole && !self.bare.contains(&end);
            let first = i == 0 && capped(start, !closed);
            let last = i + 1 < pieces || closed || capped(last, true);
            out.push((number, vec![open(piece, radius, first, last)]));
        }
    }
}

/// A long chain in pieces that share their end points.
fn cut(points: &[Point]) -> impl Iterator<Item = &[Point]> {
    (0..points.len() - 1).step_by(LONGEST).map(|from| &points[from..(from + LONGEST + 1).min(points.len())])
}

fn dot(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 * b.0 + a.1 * b.1
}

fn length(s: &Stroke) -> f64 {
    s.from.distance(s.to)
}

/// Direction from an end into its stroke.
fn away(strokes: &[Stroke], end: End) -> (f64, f64) {
    direction(end_of(strokes, end), end_of(strokes, (end.0, !end.1)))
}

fn direction(from: Point, to: Point) -> (f64, f64) {
    let (dx, dy) = ((to.x - from.x) as f64, (to.y - from.y) as f64);
    let length = (dx * dx + dy * dy).sqrt();
    (dx / length, dy / length)
}

/// A chain with two ends.
fn open(points: &[Point], radius: f64, first: bool, last: bool) -> Vec<Point> {
    let back: Vec<Point> = points.iter().rev().copied().collect();
    let mut out = Vec::new();
    for (way, capped) in [(points, last), (&back, first)] {
        let [.., before, end] = way else { continue };
        corner(&mut out, way[0], direction(way[0], way[1]), radius);
        way.windows(3).for_each(|three| bend(&mut out, three, radius));
        let along = direction(*before, *end);
        if capped {
            let start = along.1.atan2(along.0) - std::f64::consts::FRAC_PI_2;
            flatten::fan(&mut out, *end, start, std::f64::consts::PI, radius);
        } else {
            corner(&mut out, *end, along, radius);
        }
    }
    out.dedup();
    out
}

/// A closed chain: the contour on its right, and the one on its left the other way round.
fn ring(points: &[Point], radius: f64) -> Polygon {
    let back: Vec<Point> = points.iter().rev().copied().collect();
    let side = |way: &[Point]| {
        let mut out = Vec::new();
        let at = |i: usize| way[i % way.len()];
        (0..way.len()).for_each(|i| bend(&mut out, &[at(i), at(i + 1), at(i + 2)], radius));
        out.dedup();
        out
    };
    vec![side(points), side(&back)]
}

/// The point beside the centre line, to the right.
fn corner(out: &mut Vec<Point>, at: Point, along: (f64, f64), radius: f64) {
    let (x, y) = float(at);
    out.push(round((x + radius * along.1, y - radius * along.0)));
}

/// The right side of a joint: an arc where the chain bends left, else the inner corner.
fn bend(out: &mut Vec<Point>, three: &[Point], radius: f64) {
    let [before, at, after] = *three else { return };
    let (a, b) = (direction(before, at), direction(at, after));
    let (sine, cosine) = (a.0 * b.1 - a.1 * b.0, dot(a, b));
    let turn = sine.atan2(cosine);
    if (turn * radius).abs() < STRAIGHT {
        corner(out, at, a, radius);
    } else if turn > 0.0 || cosine < -1.0 + 1e-12 {
        flatten::fan(out, at, (-a.0).atan2(a.1), turn.abs(), radius);
    } else {
        let trimmed = radius * (turn / 2.0).tan().abs() * 2.0;
        if cosine > SHARP && trimmed <= before.distance(at) && trimmed <= at.distance(after) {
            let reach = radius / (1.0 + cosine);
            let (x, y) = float(at);
            out.push(round((x + reach * (a.1 + b.1), y - reach * (a.0 + b.0))));
        } else {
            corner(out, at, a, radius);
            out.push(at);
            corner(out, at, b, radius);
        }
    }
}
