//! Ways round a land at a fixed distance from it, and the bars of copper they pass through.
//!
//! What leaves a land shows on them: a track as one bar of the same width at every distance, a teardrop as
//! one that narrows, the bars of a relief as few narrow ones close by and copper all round further out.

use landgap_parser::{Nm, Point};

use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, float, round};
use crate::geometry::edges::EdgeIndex;

/// A land with more boundary round it than this is not looked at: hatched or painted areas.
const CROWD: usize = 4_000;

type Place = (f64, f64);

/// The shape of a land: convex, counter-clockwise.
pub(super) enum Core {
    /// A disc.
    Disc(Place, f64),
    /// Corners of a convex polygon.
    Hull(Vec<Place>),
}

/// Widths of one bar on successive ways, at right angles to the line through its middles.
pub(super) fn across(bars: &[Bar]) -> Vec<f64> {
    let width = |i: usize| {
        let bar = &bars[i];
        let (a, b) = (bars[i.saturating_sub(1)].middle(), bars[(i + 1).min(bars.len() - 1)].middle());
        let ((ax, ay), (cx, cy)) = ((b.0 - a.0, b.1 - a.1), (bar.to.0 - bar.from.0, bar.to.1 - bar.from.1));
        let axis = ax.hypot(ay);
        if axis == 0.0 { bar.width } else { (ax * cy - ay * cx).abs() / axis }
    };
    (0..bars.len()).map(width).collect()
}

/// A bar of copper that a way passes through.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bar {
    /// Where the way enters it.
    pub from: Place,
    /// Where the way leaves it.
    pub to: Place,
    /// Across the bar, at right angles to its sides, where these are straight.
    width: f64,
    /// Along the way.
    length: f64,
}

impl Bar {
    /// From side to side, as the way goes.
    pub(super) fn chord(&self) -> f64 {
        (self.to.0 - self.from.0).hypot(self.to.1 - self.from.1)
    }

    /// Half-way between its sides.
    pub(super) const fn middle(&self) -> Place {
        (self.from.0.midpoint(self.to.0), self.from.1.midpoint(self.to.1))
    }
}

/// A way round a land.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    /// Bars it passes through; empty where it never meets the boundary.
    pub bars: Vec<Bar>,
    /// Share of it that lies in bars.
    pub share: f64,
    /// A point on it.
    pub start: Place,
}

/// One crossing of a way and the boundary.
struct Crossing {
    along: f64,
    enters: bool,
    at: Place,
    side: Segment,
}

/// A land, and the boundary of its piece of copper near by.
pub(super) struct Collar {
    core: Core,
    sides: Vec<Segment>,
}

impl Core {
    pub(super) fn bounds(&self) -> Bounds {
        match self {
            Self::Disc((x, y), r) => Bounds::of(&[round((x - r, y - r)), round((x + r, y + r))]),
            Self::Hull(corners) => Bounds::of(&corners.iter().map(|c| round(*c)).collect::<Vec<_>>()),
        }
    }
}

impl Collar {
    /// Collects the boundary of an island within `reach` of a land; `None` where there is none or too much of it.
    pub(super) fn new(index: &EdgeIndex, island: u32, core: Core, reach: Nm) -> Option<Self> {
        let mut sides = Vec::new();
        index.near_of(core.bounds().grown(reach), |i| i == island, |i| sides.push(index.edges()[i].segment));
        ((1..=CROWD).contains(&sides.len())).then_some(Self { core, sides })
    }

    /// The box round the land and what lies within a distance of it.
    pub(super) fn bounds(&self, distance: f64) -> Bounds {
        self.core.bounds().grown(distance.ceil() as Nm)
    }

    /// The way at a distance from the land's edge; `None` where it cannot be told what lies in copper.
    pub(super) fn at(&self, distance: f64) -> Option<Way> {
        let (mut crossings, length, start) = match &self.core {
            Core::Disc(centre, radius) => on_circle(&self.sides, *centre, radius + distance),
            Core::Hull(corners) => on_polygon(&self.sides, &grown(corners, distance)),
        };
        crossings.sort_by(|a, b| a.along.total_cmp(&b.along));
        let first = crossings.iter().position(|c| c.enters).unwrap_or(0);
        crossings.rotate_left(first);
        if crossings.len() % 2 == 1 || crossings.iter().enumerate().any(|(i, c)| c.enters != (i % 2 == 0)) {
            return None;
        }
        let bars: Vec<Bar> = crossings.chunks_exact(2).map(|pair| bar(&pair[0], &pair[1], length)).collect();
        let share = bars.iter().map(|b| b.length).sum::<f64>() / length.max(1.0);
        Some(Way { bars, share, start })
    }
}

fn bar(from: &Crossing, to: &Crossing, around: f64) -> Bar {
    let width = off_line(from.at, to.side).min(off_line(to.at, from.side));
    Bar { from: from.at, to: to.at, width, length: (to.along - from.along).rem_euclid(around) }
}

/// How far a point lies from the line through a segment.
fn off_line(p: Place, s: Segment) -> f64 {
    let (a, b) = (float(s.a), float(s.b));
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    (dx * (p.1 - a.1) - dy * (p.0 - a.0)).abs() / dx.hypot(dy).max(1.0)
}

/// Crossings of segments with a circle, its length and its point on the right.
fn on_circle(sides: &[Segment], centre: Place, radius: f64) -> (Vec<Crossing>, f64, Place) {
    let mut out = Vec::new();
    for side in sides {
        let (a, b) = (float(side.a), float(side.b));
        let (px, py) = (a.0 - centre.0, a.1 - centre.1);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (aa, bb, cc) = (dx * dx + dy * dy, px * dx + py * dy, px * px + py * py - radius * radius);
        let root = bb * bb - aa * cc;
        if root <= 0.0 || aa == 0.0 {
            continue;
        }
        for t in [(-bb - root.sqrt()) / aa, (-bb + root.sqrt()) / aa] {
            if !(0.0..1.0).contains(&t) {
                continue;
            }
            let (x, y) = (px + t * dx, py + t * dy);
            // Copper lies to the left of its boundary; the way runs counter-clockwise.
            let enters = dx * x + dy * y > 0.0;
            let angle = y.atan2(x).rem_euclid(std::f64::consts::TAU);
            out.push(Crossing { along: angle * radius, enters, at: (centre.0 + x, centre.1 + y), side: *side });
        }
    }
    (out, std::f64::consts::TAU * radius, (centre.0 + radius, centre.1))
}

/// Crossings of segments with a convex polygon, its length and its first corner.
fn on_polygon(sides: &[Segment], corners: &[Place]) -> (Vec<Crossing>, f64, Place) {
    let mut out = Vec::new();
    let mut length = 0.0;
    for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let (wx, wy) = (q.0 - p.0, q.1 - p.1);
        let own = wx.hypot(wy);
        for side in sides {
            let (a, b) = (float(side.a), float(side.b));
            let left = |c: Place| wx * (c.1 - p.1) - wy * (c.0 - p.0);
            let (la, lb) = (left(a), left(b));
            if (la > 0.0) == (lb > 0.0) {
                continue;
            }
            let t = la / (la - lb);
            let at = (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
            let along = ((at.0 - p.0) * wx + (at.1 - p.1) * wy) / own.max(1.0);
            if (0.0..own).contains(&along) {
                out.push(Crossing { along: length + along, enters: la > lb, at, side: *side });
            }
        }
        length += own;
    }
    (out, length, corners.first().copied().unwrap_or_default())
}

/// A convex polygon with every side moved outwards; corners are cut off at the same distance.
fn grown(corners: &[Place], by: f64) -> Vec<Place> {
    let mut out = Vec::with_capacity(corners.len() * 2);
    for (p, q) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let (dx, dy) = (q.0 - p.0, q.1 - p.1);
        let length = dx.hypot(dy);
        if length > 0.0 {
            let (nx, ny) = (dy / length * by, -dx / length * by);
            out.extend([(p.0 + nx, p.1 + ny), (q.0 + nx, q.1 + ny)]);
        }
    }
    out
}

/// The convex hull of some points, with corners closer than 5 µm to the line between their neighbours left out.
pub(super) fn hull(points: &[Point]) -> Vec<Place> {
    const FLAT: f64 = 5_000.0;
    let mut corners: Vec<Place> = crate::geometry::shape::hull(points.to_vec()).into_iter().map(float).collect();
    let mut i = 0;
    while corners.len() > 4 && i < corners.len() {
        let n = corners.len();
        let (before, own, next) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
        if off_line(own, Segment { a: round(before), b: round(next) }) < FLAT {
            corners.remove(i);
        } else {
            i += 1;
        }
    }
    corners
}
