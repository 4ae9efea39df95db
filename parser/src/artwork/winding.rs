//! How often a contour goes round each of its parts, and the areas that leaves unclear.
//!
//! A place gone round once, in the direction of the whole, is filled by every reader. Places gone
//! round more than once, or the wrong way, are filled by some and left free by others.

use super::sides::{Side, Sides};

/// Areas of a contour that meets itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Areas {
    /// All that the contour goes round (nm²).
    pub filled: f64,
    /// What of it is not gone round once in the direction of the whole (nm²).
    pub unclear: f64,
    /// About how thick that is (nm).
    pub thick: f64,
}

/// Where the sides of a contour meet others: number of the side, and how far along it.
pub type Splits = Vec<(u32, f64)>;

/// Points nearer to a side than this lie on it (nm); coordinates up to a metre keep a ten-thousandth.
const ON: f64 = 1e-3;

/// A stretch of a contour between two meetings: what lies to its left and right is one throughout.
#[derive(Debug, Default)]
struct Stretch {
    /// Twice the area it adds to a sum over the boundary.
    area: f64,
    length: f64,
    /// Its longest piece: length, number of the side and the middle.
    longest: (f64, usize, f64),
}

/// The areas of a contour; `None` where that would cost more than the `rays` left.
pub fn areas(sides: &Sides, mut splits: Splits, rays: &mut u64) -> Option<Areas> {
    splits.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    splits.dedup();
    let stretches = stretches(sides, &splits);
    *rays = rays.checked_sub((stretches.len() as u64).checked_mul(sides.count() as u64)?)?;
    let whole: f64 = stretches.iter().map(|s| s.area).sum();
    let forward = if whole < 0.0 { -1 } else { 1 };
    let mut areas = Areas::default();
    let mut border = 0.0;
    for stretch in &stretches {
        let around = around(sides, stretch);
        let share = 1.0 / f64::from(around.here.max(1));
        let edge = |of: fn(i32, i32) -> bool| {
            f64::from(i8::from(of(around.left, forward))) - f64::from(i8::from(of(around.right, forward)))
        };
        areas.filled += share * edge(|w, _| w != 0) * stretch.area / 2.0;
        let unclear = edge(|w, forward| w != 0 && w != forward);
        areas.unclear += share * unclear * stretch.area / 2.0;
        border += share * unclear.abs() * stretch.length;
    }
    areas.unclear = areas.unclear.max(0.0);
    areas.thick = if border > 0.0 { 2.0 * areas.unclear / border } else { 0.0 };
    Some(areas)
}

fn stretches(sides: &Sides, splits: &[(u32, f64)]) -> Vec<Stretch> {
    let mut out = Vec::new();
    let mut now = Stretch::default();
    let mut splits = splits.iter().peekable();
    let origin = sides.get(0).from;
    for (index, side) in sides.iter().enumerate() {
        let mut from = 0.0;
        while let Some((_, part)) = splits.next_if(|s| s.0 as usize == index) {
            let part = part.clamp(from, 1.0);
            now.add(index, &side, (from, part), (origin.x as f64, origin.y as f64));
            from = part;
            if now.length > 0.0 {
                out.push(std::mem::take(&mut now));
            }
        }
        now.add(index, &side, (from, 1.0), (origin.x as f64, origin.y as f64));
    }
    out.push(now);
    out
}

impl Stretch {
    fn add(&mut self, index: usize, side: &Side, (from, to): (f64, f64), origin: (f64, f64)) {
        if to <= from {
            return;
        }
        let (a, b) = (side.at(from), side.at(to));
        self.area += (a.0 - origin.0) * (b.1 - origin.1) - (a.1 - origin.1) * (b.0 - origin.0);
        let length = (b.0 - a.0).hypot(b.1 - a.1);
        self.length += length;
        if length > self.longest.0 {
            self.longest = (length, index, f64::midpoint(from, to));
        }
    }
}

/// How often what lies to the left and right of a stretch is gone round, and how many sides run here.
struct Around {
    left: i32,
    right: i32,
    here: i32,
}

/// Counts along a ray from the middle of the stretch's longest piece, square across as far as axes go.
fn around(sides: &Sides, stretch: &Stretch) -> Around {
    let side = sides.get(stretch.longest.1);
    let middle = side.at(stretch.longest.2);
    let way = side.to.minus(side.from);
    let upright = way.y.unsigned_abs() >= way.x.unsigned_abs();
    // A flat side is looked at with x and y exchanged, which also exchanges left and right.
    let view = |s: &Side| {
        let (a, b) = ((s.from.x as f64, s.from.y as f64), (s.to.x as f64, s.to.y as f64));
        if upright { (a, b) } else { ((a.1, a.0), (b.1, b.0)) }
    };
    let (x, y) = if upright { middle } else { (middle.1, middle.0) };
    let (mut beyond, mut here, mut here_both) = (0i32, 0i32, 0i32);
    for other in sides.iter() {
        let (a, b) = view(&other);
        if (a.1 <= y) == (b.1 <= y) {
            continue;
        }
        let off = a.0 + (y - a.1) / (b.1 - a.1) * (b.0 - a.0) - x;
        let up = if b.1 > a.1 { 1 } else { -1 };
        if off.abs() <= ON {
            here = here.saturating_add(up);
            here_both = here_both.saturating_add(1);
        } else if off > 0.0 {
            beyond = beyond.saturating_add(up);
        }
    }
    // To the left of the side in this view (lower x) the sides that run here count too.
    let (low, high) = (beyond.saturating_add(here), beyond);
    let (a, b) = view(&side);
    let (left, right) = if b.1 > a.1 { (low, high) } else { (high, low) };
    if upright {
        Around { left, right, here: here_both }
    } else {
        Around { left: right.saturating_neg(), right: left.saturating_neg(), here: here_both }
    }
}
