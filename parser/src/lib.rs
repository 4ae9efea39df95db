//! Reads the data a bare-board shop receives: bytes in, images and remarks out.
//!
//! Two levels are kept apart. The *faithful* level is the list of commands as they stand in the
//! file, each with its place. The *image* level holds objects in nanometres: everything modal,
//! relative, legacy or unit-dependent has been resolved on the way.
//!
//! Reading never fails on bad data: the result is whatever could be read plus [`Remark`]s that say
//! what was wrong, where, what was expected and what to do. Only a [`LimitReached`] stops a file.
//!
//! This crate does no input or output and knows nothing of fabrication.

pub mod artwork;
pub mod drill;
pub mod image;
pub mod job;
pub mod kind;
pub mod length;
pub mod limits;
pub mod netlist;
pub mod point;
pub mod remark;

pub use image::{
    Aperture, ApertureShape, Arc, Attribute, Contour, Edge, FileAttribute, Image, MacroPart, Object, Polarity, Shape,
    Turn,
};
pub use length::{Decimal, Nm, Unit};
pub use limits::{LimitReached, Limits};
pub use point::Point;
pub use remark::{Code, Place, Remark, Severity, TwoReadings};
