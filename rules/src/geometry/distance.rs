//! Distances between points, segments and paths, with their witness points.

use landgap_parser::Point;

/// A straight piece of a boundary.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Segment {
    /// Start.
    pub a: Point,
    /// End.
    pub b: Point,
}

/// Two points and how far apart they are, in nanometres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Distance.
    pub length: f64,
    /// Point on the first shape, unrounded.
    pub from: (f64, f64),
    /// Point on the second shape, unrounded.
    pub to: (f64, f64),
    /// Both ends of the stretch two straight sides share at this distance, half-way between them.
    pub run: Option<(Point, Point)>,
}

impl Span {
    /// Longer than any real distance.
    pub const FAR: Self = Self { length: f64::INFINITY, from: (0.0, 0.0), to: (0.0, 0.0), run: None };

    /// The same span seen from the other shape.
    #[must_use]
    pub const fn flipped(self) -> Self {
        Self { length: self.length, from: self.to, to: self.from, run: self.run }
    }

    /// The shorter of two.
    #[must_use]
    pub fn shorter(self, other: Self) -> Self {
        if other.length < self.length { other } else { self }
    }

    /// Witness points rounded to the nanometre.
    #[must_use]
    pub fn points(&self) -> (Point, Point) {
        (round(self.from), round(self.to))
    }

    /// Length of the stretch two sides share, in nanometres.
    #[must_use]
    pub fn run_length(&self) -> Option<i64> {
        self.run.map(|(a, b)| a.distance(b).round() as i64)
    }

    /// Point half-way.
    #[must_use]
    pub fn middle(&self) -> (f64, f64) {
        ((self.from.0 + self.to.0) / 2.0, (self.from.1 + self.to.1) / 2.0)
    }
}

/// The nearest whole-nanometre point.
#[must_use]
pub fn round(p: (f64, f64)) -> Point {
    Point::new(whole(p.0), whole(p.1))
}

/// The nearest whole number, halves away from zero; a conversion cuts towards zero, which is quicker
/// than the rounding functions of machines that have no instruction for it.
#[must_use]
pub const fn whole(value: f64) -> i64 {
    (value + 0.5_f64.copysign(value)) as i64
}

/// A point as floats.
#[must_use]
pub const fn float(p: Point) -> (f64, f64) {
    (p.x as f64, p.y as f64)
}

/// From a point to a segment.
#[must_use]
pub fn point_segment(p: (f64, f64), s: Segment) -> Span {
    let (ax, ay) = float(s.a);
    let (dx, dy) = ((s.b.x - s.a.x) as f64, (s.b.y - s.a.y) as f64);
    let square = dx * dx + dy * dy;
    let t = if square == 0.0 { 0.0 } else { (((p.0 - ax) * dx + (p.1 - ay) * dy) / square).clamp(0.0, 1.0) };
    let foot = (ax + t * dx, ay + t * dy);
    Span { length: length(p.0 - foot.0, p.1 - foot.1), from: p, to: foot, run: None }
}

/// Length of a vector. Board coordinates square well inside the range of a double, so the slower
/// overflow-proof form is not needed.
fn length(dx: f64, dy: f64) -> f64 {
    (dx * dx + dy * dy).sqrt()
}

/// Twice the signed area of the triangle `a b c`; exact.
#[must_use]
pub fn orientation(a: Point, b: Point, c: Point) -> i128 {
    i128::from(b.x - a.x) * i128::from(c.y - a.y) - i128::from(b.y - a.y) * i128::from(c.x - a.x)
}

/// Whether two segments cross at a point inside both.
#[must_use]
pub fn crosses(s: Segment, t: Segment) -> bool {
    let (a, b) = (orientation(s.a, s.b, t.a), orientation(s.a, s.b, t.b));
    let (c, d) = (orientation(t.a, t.b, s.a), orientation(t.a, t.b, s.b));
    (a > 0) != (b > 0) && (c > 0) != (d > 0) && a != 0 && b != 0 && c != 0 && d != 0
}

/// Where two crossing segments meet.
fn crossing(s: Segment, t: Segment) -> (f64, f64) {
    let a = orientation(t.a, t.b, s.a) as f64;
    let b = orientation(t.a, t.b, s.b) as f64;
    let part = a / (a - b);
    let (x, y) = float(s.a);
    (x + part * (s.b.x - s.a.x) as f64, y + part * (s.b.y - s.a.y) as f64)
}

/// From one segment to another; 0 where they cross.
#[must_use]
pub fn segment_segment(s: Segment, t: Segment) -> Span {
    let least = point_segment(float(s.a), t)
        .shorter(point_segment(float(s.b), t))
        .shorter(point_segment(float(t.a), s).flipped())
        .shorter(point_segment(float(t.b), s).flipped());
    if may_meet(s, t) && crosses(s, t) {
        let at = crossing(s, t);
        return Span { length: 0.0, from: at, to: at, run: None };
    }
    alongside(s, t, least.length + ROUNDING).map_or(least, |middle| Span { length: least.length, ..middle })
}

/// Whether the boxes of two segments share a point.
fn may_meet(s: Segment, t: Segment) -> bool {
    s.a.x.min(s.b.x) <= t.a.x.max(t.b.x)
        && t.a.x.min(t.b.x) <= s.a.x.max(s.b.x)
        && s.a.y.min(s.b.y) <= t.a.y.max(t.b.y)
        && t.a.y.min(t.b.y) <= s.a.y.max(s.b.y)
}

/// Two sides of one stroke count as parallel although their ends were rounded to the nanometre.
const ROUNDING: f64 = 3.0;

/// Half-way along the stretch where two segments run side by side, if they are no farther apart there than `most`.
fn alongside(s: Segment, t: Segment, most: f64) -> Option<Span> {
    let (dx, dy) = ((s.b.x - s.a.x) as f64, (s.b.y - s.a.y) as f64);
    let square = dx * dx + dy * dy;
    if square == 0.0 {
        return None;
    }
    let along = |p: Point| ((p.x - s.a.x) as f64 * dx + (p.y - s.a.y) as f64 * dy) / square;
    let (a, b) = (along(t.a), along(t.b));
    let (start, end) = (a.min(b).max(0.0), a.max(b).min(1.0));
    if start >= end {
        return None;
    }
    let across = |part: f64| point_segment((s.a.x as f64 + part * dx, s.a.y as f64 + part * dy), t);
    let middle = across((start + end) / 2.0);
    if middle.length > most {
        return None;
    }
    let run = (round(across(start).middle()), round(across(end).middle()));
    Some(Span { run: Some(run), ..middle })
}
