//! Figures in the manner of a drawing sheet: white paper, thin black lines, hatching and tone in
//! place of colour, so that they stay legible in black-and-white print.

pub mod board;
pub mod clip;
pub mod detail;
pub mod dimension;
pub mod hole;
pub mod ink;
pub mod marks;
pub mod proposed;
pub mod sheet;
pub mod view;

pub use board::Face;
