//! Finds room for numbered balloons, so that none covers another.

use super::view::{Frame, Px};

/// Half way between two axes.
const D: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// Sixteen directions, unit length, written out so that no platform's sine decides.
const WAYS: [Px; 16] = [
    (D, -D),
    (0.9239, -0.3827),
    (0.3827, -0.9239),
    (1.0, 0.0),
    (0.0, -1.0),
    (-D, -D),
    (D, D),
    (-0.9239, -0.3827),
    (-0.3827, -0.9239),
    (0.9239, 0.3827),
    (0.3827, 0.9239),
    (0.0, 1.0),
    (-1.0, 0.0),
    (-D, D),
    (-0.9239, 0.3827),
    (-0.3827, 0.9239),
];

/// Balloons set so far.
#[derive(Debug)]
pub struct Marks {
    radius: f64,
    within: Frame,
    taken: Vec<Px>,
}

impl Marks {
    /// No balloons yet.
    #[must_use]
    pub const fn new(radius: f64, within: Frame) -> Self {
        Self { radius, within, taken: Vec::new() }
    }

    /// Keeps room free round a point that no balloon may cover.
    pub fn avoid(&mut self, at: Px) {
        self.taken.push(at);
    }

    /// The nearest free room for a balloon that marks `anchor`; `None` where the sheet is full.
    pub fn place(&mut self, anchor: Px) -> Option<Px> {
        for ring in 1..24 {
            let reach = self.radius * (1.0 + f64::from(ring));
            for (x, y) in WAYS {
                let at = (anchor.0 + x * reach, anchor.1 + y * reach);
                if self.within.holds(at, self.radius) && self.is_free(at) {
                    self.taken.push(at);
                    return Some(at);
                }
            }
        }
        None
    }

    fn is_free(&self, at: Px) -> bool {
        let apart = 2.0 * self.radius + 2.0;
        self.taken.iter().all(|t| (t.0 - at.0).abs() >= apart || (t.1 - at.1).abs() >= apart)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn balloons_never_overlap() {
        let frame = Frame { left: 0.0, top: 0.0, width: 400.0, height: 400.0 };
        let mut marks = Marks::new(10.0, frame);
        let set: Vec<Px> = (0..40).filter_map(|_| marks.place((200.0, 200.0))).collect();
        assert_eq!(set.len(), 40);
        for (i, a) in set.iter().enumerate() {
            for b in &set[i + 1..] {
                assert!((a.0 - b.0).abs().max((a.1 - b.1).abs()) >= 20.0);
            }
        }
    }
}
