//! Which sides of a contour come near one another: boxes round runs of sides, halved again and again.
//!
//! A contour is an order in itself: what follows one another lies together. Runs of sides whose
//! boxes lie apart are passed over as a whole, so that n sides cost about n log n.

use super::sides::{Side, Sides};

/// Sides in the smallest run.
const RUN: usize = 8;

/// Looking on would cost more than allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooMany;

/// Least and greatest x and y. The range of the reader fits in 32 bits.
#[derive(Clone, Copy, Debug)]
struct Reach {
    low: (i32, i32),
    high: (i32, i32),
}

impl Reach {
    fn of(side: &Side) -> Self {
        let (a, b) = ((side.from.x as i32, side.from.y as i32), (side.to.x as i32, side.to.y as i32));
        Self { low: (a.0.min(b.0), a.1.min(b.1)), high: (a.0.max(b.0), a.1.max(b.1)) }
    }

    fn and(self, other: Self) -> Self {
        Self {
            low: (self.low.0.min(other.low.0), self.low.1.min(other.low.1)),
            high: (self.high.0.max(other.high.0), self.high.1.max(other.high.1)),
        }
    }

    #[inline]
    const fn meets(&self, other: &Self) -> bool {
        self.low.0 <= other.high.0
            && other.low.0 <= self.high.0
            && self.low.1 <= other.high.1
            && other.low.1 <= self.high.1
    }
}

/// Calls `look` with the numbers of every two sides whose boxes meet, the lower number first.
///
/// `work` is what may still be spent; `look` may stop the search.
pub fn near_pairs(
    sides: &Sides,
    work: &mut u64,
    mut look: impl FnMut(usize, usize) -> Result<(), TooMany>,
) -> Result<(), TooMany> {
    let levels = levels(sides);
    let mut open: Vec<(usize, usize, usize)> = Vec::new();
    open.extend(levels.len().checked_sub(1).map(|top| (top, 0, 0)));
    while let Some((level, i, j)) = open.pop() {
        let boxes = levels.get(level).map_or(&[][..], Vec::as_slice);
        let (Some(a), Some(b)) = (boxes.get(i), boxes.get(j)) else { continue };
        *work = work.checked_sub(1).ok_or(TooMany)?;
        if i != j && !a.meets(b) {
            continue;
        }
        let Some(below) = level.checked_sub(1) else {
            *work = work.checked_sub(RUN as u64).ok_or(TooMany)?;
            run_pairs(sides, i, j, &mut look)?;
            continue;
        };
        let (first, second) = (i.saturating_mul(2), j.saturating_mul(2));
        let halves = [(0, 0), (0, 1), (1, 0), (1, 1)].map(|(p, q)| (first.saturating_add(p), second.saturating_add(q)));
        open.extend(halves.into_iter().filter(|(p, q)| p <= q).map(|(p, q)| (below, p, q)));
    }
    Ok(())
}

/// Boxes of runs, of pairs of runs, and so on up to the whole.
fn levels(sides: &Sides) -> Vec<Vec<Reach>> {
    let join = |part: &[Reach]| part.iter().copied().reduce(Reach::and);
    let runs = (0..sides.count().div_ceil(RUN)).map(|r| run(sides, r));
    let mut levels: Vec<Vec<Reach>> = vec![runs.filter_map(|r| r.into_iter().flatten().reduce(Reach::and)).collect()];
    while let Some(last) = levels.last().filter(|l| l.len() > 1) {
        let next = last.chunks(2).filter_map(join).collect();
        levels.push(next);
    }
    levels
}

/// The boxes of the sides of one run.
fn run(sides: &Sides, number: usize) -> [Option<Reach>; RUN] {
    let start = number.saturating_mul(RUN);
    std::array::from_fn(|k| {
        let index = start.saturating_add(k);
        (index < sides.count()).then(|| Reach::of(&sides.get(index)))
    })
}

fn run_pairs(
    sides: &Sides,
    i: usize,
    j: usize,
    look: &mut impl FnMut(usize, usize) -> Result<(), TooMany>,
) -> Result<(), TooMany> {
    let (first, second) = (run(sides, i), run(sides, j));
    for (p, a) in (i.saturating_mul(RUN)..).zip(first.iter().flatten()) {
        for (q, b) in (j.saturating_mul(RUN)..).zip(second.iter().flatten()) {
            if p < q && a.meets(b) {
                look(p, q)?;
            }
        }
    }
    Ok(())
}
