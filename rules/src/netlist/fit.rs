//! Lays a netlist over the copper: unit, mirror, quarter turn and origin by the share of points that meet.
//!
//! As sent comes first. Only where that misses are other readings tried, by voting on the offset that
//! brings most sample points onto holes (or lands, where the netlist has no holes).

use landgap_parser::{Nm, Point, Polarity, Shape};

use super::Ground;
use super::stated::{Points, Stated};
use crate::board::Side;
use crate::query::words;

/// Points and targets this near are the same: twice the coarser unit step of a netlist.
const NEAR: Nm = 60_000;
/// As sent is taken at once from this share on, in hundredths.
const CERTAIN: usize = 90;
/// Below this share nothing is taken.
const ENOUGH: usize = 60;
/// Points that vote on the offset.
const VOTERS: usize = 24;
/// Width of a voting cell.
const CELL: Nm = 50_000;
/// Too few points to lay anything over by.
const FEWEST: usize = 3;

/// How points are moved onto the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Move {
    mirrored: bool,
    quarters: u8,
    /// Numerator and denominator of the scale.
    scale: (i64, i64),
    offset: Point,
}

impl Move {
    const NONE: Self = Self { mirrored: false, quarters: 0, scale: (1, 1), offset: Point::new(0, 0) };

    fn apply(&self, p: Point) -> Point {
        let (num, den) = self.scale;
        let scaled = |v: Nm| (v * num + den / 2).div_euclid(den);
        let (x, y) = (scaled(if self.mirrored { -p.x } else { p.x }), scaled(p.y));
        let (x, y) = match self.quarters {
            1 => (-y, x),
            2 => (-x, -y),
            3 => (y, -x),
            _ => (x, y),
        };
        Point::new(x + self.offset.x, y + self.offset.y)
    }

    /// Moves a point, and turns and scales the land that is stated there.
    fn carry(&self, point: &mut Stated) {
        point.at = self.apply(point.at);
        let (num, den) = self.scale;
        let scaled = |v: Nm| (v * num + den / 2).div_euclid(den);
        if let Some(land) = &mut point.land {
            land.size = (scaled(land.size.0), scaled(land.size.1));
            land.degrees = if self.mirrored { -land.degrees } else { land.degrees } + 90.0 * f64::from(self.quarters);
        }
    }

    fn words(&self) -> String {
        let mut parts = Vec::new();
        if self.scale != (1, 1) {
            parts.push("its unit read as the other one".to_owned());
        }
        if self.mirrored {
            parts.push("mirrored".to_owned());
        }
        if self.quarters > 0 {
            parts.push(format!("turned by {} degrees", u32::from(self.quarters) * 90));
        }
        if self.offset != Point::new(0, 0) {
            parts.push(format!("shifted by {}", words::point(self.offset)));
        }
        if parts.is_empty() { "as sent".to_owned() } else { words::listed(&parts) }
    }
}

/// Targets in order of x, for quick looking up.
struct Targets(Vec<Point>);

impl Targets {
    fn near(&self, p: Point) -> bool {
        let start = self.0.partition_point(|t| t.x < p.x - NEAR);
        self.0[start..].iter().take_while(|t| t.x <= p.x + NEAR).any(|t| (t.y - p.y).abs() <= NEAR)
    }

    fn hits(&self, points: &[Point], how: &Move) -> usize {
        points.iter().filter(|p| self.near(how.apply(**p))).count()
    }
}

/// Moves the points onto the board and says how; refuses where no reading fits.
pub(super) fn lay(points: &mut Points, ground: &Ground<'_>) -> Result<String, String> {
    let (sample, targets, what) = choose(points, ground);
    if sample.len() < FEWEST || targets.0.is_empty() {
        return Err(format!("the netlist has {} point(s) to lay it over the copper by; that is too few", sample.len()));
    }
    let (how, hits) = best(&sample, &targets);
    let share = hits * 100 / sample.len();
    if share < ENOUGH {
        return Err(format!(
            "the netlist does not fit the copper: at best {share} % of its {} points meet {what}, whether as sent, shifted, mirrored, turned, or in the other unit",
            sample.len()
        ));
    }
    points.list.iter_mut().for_each(|p| how.carry(p));
    if how.mirrored {
        let last = ground.board.copper.len() as u32;
        let flip = |n: u32| last + 1 - n;
        for point in &mut points.list {
            point.layers = (flip(point.layers.1), flip(point.layers.0));
            if let Some(land) = &mut point.land {
                land.sides = (land.sides.1, land.sides.0);
            }
        }
    }
    let turned = turn_bottom(points, ground);
    Ok(format!(
        "The netlist lies on the copper {}: {hits} of {} points meet {what}{}",
        how.words(),
        sample.len(),
        if turned { "; its points of the bottom were given as seen from below and are mirrored back" } else { "" }
    ))
}

/// Mirrors the points of the bottom alone where only that brings them onto its lands: some programs give them as
/// seen from below. Says whether it did.
fn turn_bottom(points: &mut Points, ground: &Ground<'_>) -> bool {
    let last = ground.board.copper.len() as u32;
    let is_below = |p: &Stated| !p.through && p.layers == (last, last);
    let below: Vec<Point> = points.list.iter().filter(|p| is_below(p)).map(|p| p.at).collect();
    if last < 2 || below.len() < FEWEST {
        return false;
    }
    let targets = Targets(flashes(ground, &[last]));
    if targets.hits(&below, &Move::NONE) * 100 >= below.len() * ENOUGH {
        return false;
    }
    let how = Move { mirrored: true, ..Move::NONE };
    let every = below.len().div_ceil(VOTERS);
    let voters: Vec<Point> = below.iter().copied().step_by(every).collect();
    let mut by = offset(&voters, &targets, &how);
    // The axis stands upright: nothing moves along y.
    by.y = 0;
    let how = Move { offset: by, ..how };
    if targets.hits(&below, &how) * 100 < below.len() * CERTAIN {
        return false;
    }
    points.list.iter_mut().filter(|p| is_below(p)).for_each(|p| how.carry(p));
    true
}

fn choose(points: &Points, ground: &Ground<'_>) -> (Vec<Point>, Targets, &'static str) {
    let through: Vec<Point> = points.list.iter().filter(|p| p.through).map(|p| p.at).collect();
    let (sample, mut targets, what) = if through.len() >= FEWEST && !ground.board.holes.is_empty() {
        (through, ground.board.holes.iter().map(crate::board::Hole::at).collect(), "holes")
    } else {
        (points.list.iter().map(|p| p.at).collect(), lands(ground), "lands")
    };
    targets.sort_unstable();
    targets.dedup();
    (sample, Targets(targets), what)
}

fn lands(ground: &Ground<'_>) -> Vec<Point> {
    let outer: Vec<u32> = ground.board.copper.iter().filter(|l| l.side != Side::Inner).map(|l| l.number).collect();
    flashes(ground, &outer)
}

/// Where the lands of some layers are set down, in order.
fn flashes(ground: &Ground<'_>, layers: &[u32]) -> Vec<Point> {
    let meant = ground.board.copper.iter().filter(|l| layers.contains(&l.number));
    let images = meant.filter_map(|l| ground.board.images.get(l.file as usize)?.as_ref());
    let mut found: Vec<Point> = images
        .flat_map(|i| &i.objects)
        .filter(|o| o.polarity == Polarity::Dark)
        .filter_map(|o| match o.shape {
            Shape::Flash { at, .. } => Some(at),
            _ => None,
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

fn best(sample: &[Point], targets: &Targets) -> (Move, usize) {
    let mut best = (Move::NONE, targets.hits(sample, &Move::NONE));
    if best.1 * 100 >= sample.len() * CERTAIN {
        return best;
    }
    let every = sample.len().div_ceil(VOTERS);
    let voters: Vec<Point> = sample.iter().copied().step_by(every).collect();
    // The two unit steps of the standard are 0.0001 in and 0.001 mm.
    for scale in [(1, 1), (1000, 2540), (2540, 1000)] {
        for mirrored in [false, true] {
            for quarters in 0..4 {
                let how = Move { mirrored, quarters, scale, offset: Point::new(0, 0) };
                let how = Move { offset: offset(&voters, targets, &how), ..how };
                let hits = targets.hits(sample, &how);
                if hits > best.1 {
                    best = (how, hits);
                }
            }
        }
    }
    best
}

/// The offset most voters agree on.
fn offset(voters: &[Point], targets: &Targets, how: &Move) -> Point {
    let mut votes: Vec<(Nm, Nm, Point)> = Vec::with_capacity(voters.len() * targets.0.len());
    for voter in voters {
        let p = how.apply(*voter);
        votes.extend(targets.0.iter().map(|t| {
            let by = Point::new(t.x - p.x, t.y - p.y);
            (by.x.div_euclid(CELL), by.y.div_euclid(CELL), by)
        }));
    }
    votes.sort_unstable();
    let most = votes.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).max_by_key(|run| run.len()).unwrap_or_default();
    middle(most)
}

/// The offset in the middle of those that voted alike.
fn middle(votes: &[(Nm, Nm, Point)]) -> Point {
    let count = (votes.len() as Nm).max(1);
    let sum = |of: fn(&Point) -> Nm| votes.iter().map(|v| of(&v.2)).sum::<Nm>();
    Point::new(sum(|p| p.x) / count, sum(|p| p.y) / count)
}
