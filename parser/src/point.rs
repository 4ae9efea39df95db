//! A point of the plane in nanometres.

use crate::length::Nm;

/// A point in nanometres, x to the right and y upwards, as seen from the top of the board.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Point {
    /// Distance to the right of the data's own origin.
    pub x: Nm,
    /// Distance above the data's own origin.
    pub y: Nm,
}

impl Point {
    /// The point `(x, y)`.
    #[must_use]
    pub const fn new(x: Nm, y: Nm) -> Self {
        Self { x, y }
    }

    /// Distance to another point in nanometres.
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        let dx = (self.x - other.x) as f64;
        let dy = (self.y - other.y) as f64;
        dx.hypot(dy)
    }
}
