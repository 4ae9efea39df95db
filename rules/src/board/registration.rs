//! How the files of a set lie on one another.

use landgap_parser::{Nm, Point};

/// How one file lies on the rest of the board.
#[derive(Clone, Debug, PartialEq)]
pub struct Registration {
    /// Index into [`Board::files`](super::Board::files).
    pub file: u32,
    /// What it was held against: "holes", "lands of top.gbr".
    pub against: String,
    /// Points compared.
    pub points: u32,
    /// How it lies as sent; the shift is what is left on average.
    pub as_sent: Laid,
    /// The way in which it fits clearly better, where there is one.
    pub better: Option<Laid>,
}

/// One way to lay a file on the board: mirrored, then turned about the board's middle, then scaled about
/// the origin, then shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Laid {
    /// x becomes −x.
    pub mirrored: bool,
    /// Quarter turns, counter-clockwise.
    pub quarter_turns: u8,
    /// Factor on all lengths.
    pub scale: f64,
    /// How far the file is moved.
    pub shift: Point,
    /// Share of the points that then stand as they should, 0 to 1.
    pub share: f64,
    /// What is left for those points; `None` where they have no centres to be held against.
    pub residual: Option<Residual>,
}

/// What is left between points and the centres they belong to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The greatest, in nanometres.
    pub max: Nm,
    /// Root of the mean square, in nanometres.
    pub rms: Nm,
}

/// A residual up to this is rounding (5 µm: common practice, no source).
pub const ROUNDING: Nm = 5_000;

impl Registration {
    /// The shift that alone brings the file into place, where nothing but rounding is left after it.
    #[must_use]
    pub fn pure_shift(&self) -> Option<Point> {
        let way = self.better.filter(|w| !w.mirrored && w.quarter_turns == 0 && w.scale == 1.0)?;
        let rounding = way.residual.is_some_and(|r| r.max <= ROUNDING);
        (rounding && way.shift != Point::new(0, 0)).then_some(way.shift)
    }
}
