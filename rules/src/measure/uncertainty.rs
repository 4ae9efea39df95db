//! How far a measured distance may lie from the true one.
//!
//! Each end point may be off by half a file step in x and in y, that is by step ÷ √2; a flattened
//! curve adds its tolerance.

use landgap_parser::Nm;

use crate::geometry::flatten::FLATTENING;

/// One end of a distance: a point of a file with this step.
pub(super) fn point(step: Nm) -> Nm {
    (step as f64 / std::f64::consts::SQRT_2).ceil() as Nm
}

/// One end of a distance: a boundary that may be curved.
pub(super) fn boundary(step: Nm) -> Nm {
    point(step) + FLATTENING
}
