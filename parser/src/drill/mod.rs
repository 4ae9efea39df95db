//! Drill and rout programs (Excellon, XNC).
//!
//! Reading happens in two steps, because many programs do not say how their numbers are written:
//! [`read`] keeps the words as they stand, and [`Program::decode`] turns them into holes once a
//! [`Format`] has been settled — by the header, or by trying candidates against the copper.

pub mod hits;

pub use hits::{Format, FormatClue, Hit, HitShape, HoleImage, Plating, Tool, Zeros};
