//! A point of the plane in nanometres.

#![deny(clippy::arithmetic_side_effects)]

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
        let by = self.minus(other);
        (by.x as f64).hypot(by.y as f64)
    }

    /// The point moved by `by`; what is too far stays too far.
    #[must_use]
    pub const fn plus(self, by: Self) -> Self {
        Self::new(self.x.saturating_add(by.x), self.y.saturating_add(by.y))
    }

    /// The way from `other` to here.
    #[must_use]
    pub const fn minus(self, other: Self) -> Self {
        Self::new(self.x.saturating_sub(other.x), self.y.saturating_sub(other.y))
    }
}
