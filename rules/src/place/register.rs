//! One coordinate system for all layers: which way round and where each stands against the holes and
//! against the layers it belongs to.
//!
//! Every layer is tried in eight orientations, in each as it stands and at the shift that brings most
//! points onto lands. A layer that fits as it is stays; one that fits clearly better otherwise is
//! asked about, a pure shift with the way to mend it.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};

use super::extent::{Extent, mm};
use super::lands::{Lands, best_shift, sample};

/// Fewest points that say anything.
pub(super) const FEW: usize = 6;
/// Landing that needs no second look, and that another way must reach.
const FITS: f64 = 0.9;
/// How much better another way must be where it fits well (trade A6).
const MARGIN: f64 = 0.05;
/// How much better it must be where it fits only in part.
const CLEAR: f64 = 0.35;
/// Fewest points for a fit in part to count.
const MANY: usize = 30;
/// Fewest points for a fit of most of them to count.
const SOME: usize = 12;
/// Points looked at.
const SAMPLE: usize = 3_000;

/// The eight orientations of a layer.
const ORIENTATIONS: [(&str, [i64; 4]); 8] = [
    ("as it is", [1, 0, 0, 1]),
    ("mirrored in x", [-1, 0, 0, 1]),
    ("mirrored in y", [1, 0, 0, -1]),
    ("turned by 180°", [-1, 0, 0, -1]),
    ("turned by 90°", [0, -1, 1, 0]),
    ("turned by 270°", [0, 1, -1, 0]),
    ("mirrored in x and turned by 90°", [0, 1, 1, 0]),
    ("mirrored in x and turned by 270°", [0, -1, -1, 0]),
];

/// A way to lay the points over a layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    orientation: usize,
    shift: Point,
    /// Share of the points that land.
    pub share: f64,
}

impl Way {
    /// Whether nothing but a shift is needed.
    pub const fn is_shift(&self) -> bool {
        self.orientation == 0
    }

    /// The way the points themselves are to be moved.
    pub fn back(mut self) -> Self {
        self.shift = Point::new(-self.shift.x, -self.shift.y);
        self
    }

    /// How the layer must be changed to fit; `points_move` where the points are what is to be moved.
    pub fn words(&self, points_move: bool) -> String {
        let sign = if points_move { 1 } else { -1 };
        let by = format!("moved by {} mm in x and {} mm in y", mm(sign * self.shift.x), mm(sign * self.shift.y));
        if self.is_shift() { by } else { ORIENTATIONS[self.orientation].0.to_owned() }
    }
}

/// How points fit a layer as it is, and the way that fits clearly better, if one does.
#[derive(Debug)]
pub(super) struct Fit {
    pub as_is: f64,
    pub better: Option<Way>,
    pub count: usize,
}

/// What the points are held against.
pub(super) trait Ground {
    /// Share of the points that stand as they should.
    fn share(&self, points: &[Point]) -> f64;
    /// Centres that the points may be brought onto.
    fn centres(&self) -> &Lands;
}

impl Ground for Lands {
    fn share(&self, points: &[Point]) -> f64 {
        Self::share(self, points)
    }

    fn centres(&self) -> &Lands {
        self
    }
}

/// Tries points against a layer; `None` where too few say anything.
pub(super) fn fit(points: &[Point], ground: &impl Ground, box_: Extent) -> Option<Fit> {
    let points = sample(points, SAMPLE);
    if points.len() < FEW || ground.centres().count() < FEW {
        return None;
    }
    let as_is = ground.share(&points);
    let mut fit = Fit { as_is, better: None, count: points.len() };
    if as_is < FITS + MARGIN {
        let ways = (0..ORIENTATIONS.len()).flat_map(|o| ways(&points, o, ground, box_));
        let good = ways.filter(|w| beats(w.share, as_is, points.len()));
        // A shift alone explains more simply than a turn that fits no better.
        let order = |w: &Way| w.share + if w.is_shift() { MARGIN } else { 0.0 };
        fit.better = good.reduce(|a, b| if order(&b) > order(&a) { b } else { a });
    }
    Some(fit)
}

fn beats(share: f64, as_is: f64, count: usize) -> bool {
    let well = share >= FITS && share >= as_is + MARGIN;
    let in_part = count >= MANY && share >= 0.5 && share >= as_is + CLEAR;
    let mostly = count >= SOME && share >= 0.75 && share >= as_is + 0.5;
    well || in_part || mostly
}

/// One orientation, as it stands and at its best shift.
fn ways(points: &[Point], orientation: usize, ground: &impl Ground, box_: Extent) -> Vec<Way> {
    let turned: Vec<Point> = points.iter().map(|p| turn(*p, box_.centre(), &ORIENTATIONS[orientation].1)).collect();
    let nowhere = Point::new(0, 0);
    let mut out = vec![Way { orientation, shift: nowhere, share: ground.share(&turned) }];
    if out[0].share < FITS {
        out.extend(best_shift(&turned, ground.centres()).map(|shift| {
            let moved: Vec<Point> = turned.iter().map(|p| Point::new(p.x + shift.x, p.y + shift.y)).collect();
            Way { orientation, shift, share: ground.share(&moved) }
        }));
    }
    out
}

fn turn(p: Point, centre: Point, m: &[i64; 4]) -> Point {
    let (x, y) = (p.x - centre.x, p.y - centre.y);
    Point::new(centre.x + m[0] * x + m[1] * y, centre.y + m[2] * x + m[3] * y)
}

/// Where a hole or slot would have its land: a slot's is about its middle.
pub(super) fn land_of(shape: &HitShape) -> Point {
    match shape {
        HitShape::Hole { at } => *at,
        HitShape::Slot { from, to } => middle(*from, *to),
        HitShape::Route { start, edges } => edges.last().map_or(*start, |e| middle(*start, e.to())),
    }
}

fn middle(a: Point, b: Point) -> Point {
    Point::new(half(a.x, b.x), half(a.y, b.y))
}

fn half(a: Nm, b: Nm) -> Nm {
    a + (b - a) / 2
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scattered(n: i64) -> Vec<Point> {
        (0..n).map(|i| Point::new(i * 7_919_000 % 40_000_000, i * i * 1_301_000 % 30_000_000)).collect()
    }

    fn box_() -> Extent {
        Extent { low: Point::new(0, 0), high: Point::new(40_000_000, 30_000_000) }
    }

    #[test]
    fn a_layer_in_place_stays_and_a_shifted_one_is_moved_back() {
        let points = scattered(40);
        let lands = Lands::of_points(points.clone());
        assert_eq!(fit(&points, &lands, box_()).map(|f| f.better.is_none()), Some(true));
        let moved = points.iter().map(|p| Point::new(p.x + 500_000, p.y - 200_000)).collect();
        let found = fit(&points, &Lands::of_points(moved), box_()).and_then(|f| f.better).expect("a way");
        assert_eq!(found.words(false), "moved by -0.500 mm in x and 0.200 mm in y");
    }

    #[test]
    fn a_mirrored_layer_is_told_from_a_shifted_one() {
        let points = scattered(40);
        let mirrored = points.iter().map(|p| Point::new(-p.x, p.y)).collect();
        let found = fit(&points, &Lands::of_points(mirrored), box_()).and_then(|f| f.better).expect("a way");
        assert_eq!(found.words(false), "mirrored in x");
    }
}
