//! One coordinate system for all layers: which way round and where each stands against the holes and
//! against the layers it belongs to.
//!
//! Every layer is tried in eight orientations, in each as it stands and at the shift that brings most
//! points onto lands. A layer that fits as it is stays; one that fits clearly better otherwise is
//! asked about, a pure shift with the way to mend it.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};

use super::extent::{self, Extent, mm};
use super::lands::{Lands, best_shift, sample};
use crate::board::{Laid, Registration, Residual};

/// Fewest points that say anything.
pub(super) const FEW: usize = 4;
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
    ("mirrored in x and turned by 270°", [0, 1, 1, 0]),
    ("mirrored in x and turned by 90°", [0, -1, -1, 0]),
];

const TURNED_90: usize = 4;
const TURNED_270: usize = 5;
/// The same as mirrored in x, then quarter turns counter-clockwise.
const TURNS: [(bool, u8); 8] =
    [(false, 0), (true, 0), (true, 2), (false, 2), (false, 1), (false, 3), (true, 3), (true, 1)];

/// Other units, as factors.
const UNITS: [f64; 4] = [25.4, 1.0 / 25.4, 10.0, 0.1];
/// Least and greatest difference of scale that is looked for by the boxes of points and ground.
const STRETCH: std::ops::RangeInclusive<f64> = 1e-4..=0.1;

/// A way to lay the points over a layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    orientation: usize,
    scale: f64,
    shift: Point,
    /// Share of the points that land.
    pub share: f64,
    /// What is left for those that land.
    residual: Option<Residual>,
}

impl Way {
    /// Whether nothing but a shift is needed.
    pub fn is_shift(&self) -> bool {
        self.orientation == 0 && self.scale == 1.0
    }

    /// Whether the file fits in another scale.
    pub fn is_scale(&self) -> bool {
        self.scale != 1.0
    }

    /// The way the other side is to be moved: what was ground becomes what lies on it.
    pub fn back(mut self) -> Self {
        let by = |v: Nm| (-(v as f64) / self.scale).round() as Nm;
        self.shift = Point::new(by(self.shift.x), by(self.shift.y));
        self.scale = 1.0 / self.scale;
        // A quarter turn is undone by three.
        self.orientation = match self.orientation {
            TURNED_90 => TURNED_270,
            TURNED_270 => TURNED_90,
            other => other,
        };
        self
    }

    /// How what lies on the ground must be changed to fit.
    pub fn words(&self) -> String {
        let by = format!("moved by {} mm in x and {} mm in y", mm(self.shift.x), mm(self.shift.y));
        if self.is_shift() {
            by
        } else if self.is_scale() {
            format!("scaled by {:.6} and {by}", self.scale)
        } else {
            ORIENTATIONS[self.orientation].0.to_owned()
        }
    }

    /// What is left after it, in words.
    pub fn left(&self) -> Option<String> {
        let um = |nm: Nm| format!("{:.1}", nm as f64 / 1e3);
        self.residual.map(|r| format!("what is left is at most {} µm, {} µm rms", um(r.max), um(r.rms)))
    }

    fn laid(&self) -> Laid {
        let (mirrored, quarter_turns) = TURNS[self.orientation];
        let (scale, shift) = (self.scale, self.shift);
        Laid { mirrored, quarter_turns, scale, shift, share: self.share, residual: self.residual }
    }
}

/// How points fit a layer as it is, and the way that fits clearly better, if one does.
#[derive(Debug)]
pub(super) struct Fit {
    as_sent: Way,
    pub better: Option<Way>,
    pub count: usize,
}

impl Fit {
    /// Share that lands as it is.
    pub fn as_is(&self) -> f64 {
        self.as_sent.share
    }

    /// The fit as sent alone.
    pub fn without_better(self) -> Self {
        Self { better: None, ..self }
    }

    /// The same seen from the other side.
    pub fn back(self) -> Self {
        Self { as_sent: self.as_sent.back(), better: self.better.map(Way::back), count: self.count }
    }

    /// How a file lies by this fit.
    pub fn registration(&self, file: u32, against: String) -> Registration {
        Registration {
            file,
            against,
            points: self.count as u32,
            as_sent: self.as_sent.laid(),
            better: self.better.map(|w| w.laid()),
        }
    }
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
    let as_sent = way(&points, 0, 1.0, Point::new(0, 0), ground);
    let as_is = as_sent.share;
    let mut fit = Fit { as_sent, better: None, count: points.len() };
    if as_is < FITS + MARGIN {
        let found = (0..ORIENTATIONS.len()).flat_map(|o| ways(&points, o, ground, box_));
        let good = |w: &Way| beats(w.share, as_is, points.len());
        // A shift alone explains more simply than a turn that fits no better.
        let order = |w: &Way| w.share + if w.is_shift() { MARGIN } else { 0.0 };
        fit.better = found.filter(good).reduce(|a, b| if order(&b) > order(&a) { b } else { a });
        if fit.better.is_none_or(|w| w.share < FITS) {
            let scaled = scales(&points, ground).filter(|w| w.share >= FITS && good(w));
            fit.better = scaled.chain(fit.better).reduce(|a, b| if b.share > a.share { b } else { a });
        }
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
    let mut out = vec![way(&turned, orientation, 1.0, Point::new(0, 0), ground)];
    if out[0].share < FITS {
        out.extend(best_shift(&turned, ground.centres()).map(|shift| way(&turned, orientation, 1.0, shift, ground)));
    }
    out
}

/// Other scales about the origin: another unit, or a small stretch that the boxes of both suggest.
fn scales(points: &[Point], ground: &impl Ground) -> impl Iterator<Item = Way> {
    let boxes = extent::of_points(points.iter().copied()).zip(ground.centres().extent());
    let stretch = boxes.and_then(|(own, other)| {
        let (x, y) = (ratio(other.width(), own.width())?, ratio(other.height(), own.height())?);
        let factor = f64::midpoint(x, y);
        ((x - y).abs() <= 2e-4 && STRETCH.contains(&(factor - 1.0).abs())).then_some(factor)
    });
    UNITS.into_iter().chain(stretch).filter_map(|scale| {
        let by = |v: Nm| (v as f64 * scale).round() as Nm;
        let scaled: Vec<Point> = points.iter().map(|p| Point::new(by(p.x), by(p.y))).collect();
        let shift =
            if ground.share(&scaled) >= FITS { Point::new(0, 0) } else { best_shift(&scaled, ground.centres())? };
        Some(way(&scaled, 0, scale, shift, ground))
    })
}

fn ratio(a: Nm, b: Nm) -> Option<f64> {
    (a > 0 && b > 0).then(|| a as f64 / b as f64)
}

/// The points, turned and scaled already, at a shift: that shift, bettered by what is left on average.
fn way(points: &[Point], orientation: usize, scale: f64, shift: Point, ground: &impl Ground) -> Way {
    let moved = |by: Point| points.iter().map(|p| Point::new(p.x + by.x, p.y + by.y)).collect::<Vec<_>>();
    let pairs = pairs(&moved(shift), ground.centres());
    let mean = mean(&pairs);
    let fine = Point::new(shift.x + mean.x, shift.y + mean.y);
    let share = ground.share(&moved(shift));
    Way { orientation, scale, shift: fine, share, residual: residual(&pairs, mean) }
}

/// How far each point that lands is off its centre.
fn pairs(points: &[Point], centres: &Lands) -> Vec<Point> {
    let off = |p: &Point| centres.nearest(*p).map(|c| Point::new(c.x - p.x, c.y - p.y));
    points.iter().filter_map(off).collect()
}

fn mean(pairs: &[Point]) -> Point {
    let count = pairs.len().max(1) as f64;
    let of = |axis: fn(&Point) -> Nm| (pairs.iter().map(|p| axis(p) as f64).sum::<f64>() / count).round() as Nm;
    Point::new(of(|p| p.x), of(|p| p.y))
}

fn residual(pairs: &[Point], mean: Point) -> Option<Residual> {
    let off: Vec<f64> = pairs.iter().map(|p| p.distance(mean)).collect();
    let rms = (off.iter().map(|d| d * d).sum::<f64>() / off.len().max(1) as f64).sqrt();
    let max = off.iter().fold(0.0f64, |a, b| a.max(*b));
    (!off.is_empty()).then_some(Residual { max: max.round() as Nm, rms: rms.round() as Nm })
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
        assert_eq!(found.back().words(), "moved by -0.500 mm in x and 0.200 mm in y");
        assert_eq!(found.laid().residual, Some(Residual { max: 0, rms: 0 }));
    }

    #[test]
    fn a_mirrored_layer_is_told_from_a_shifted_one() {
        let points = scattered(40);
        let mirrored = points.iter().map(|p| Point::new(-p.x, p.y)).collect();
        let found = fit(&points, &Lands::of_points(mirrored), box_()).and_then(|f| f.better).expect("a way");
        assert_eq!(found.back().words(), "mirrored in x");
    }

    #[test]
    fn another_scale_is_found_with_its_factor() {
        let points = scattered(40);
        for (factor, words) in [(25.4, "scaled by 25.400000"), (1.001, "scaled by 1.001000")] {
            let by = |v: Nm| (v as f64 * factor).round() as Nm;
            let ground = Lands::of_points(points.iter().map(|p| Point::new(by(p.x), by(p.y))).collect());
            let found = fit(&points, &ground, box_()).and_then(|f| f.better).expect("a way");
            assert!(found.words().starts_with(words), "{}", found.words());
        }
    }
}
