//! Recognises what each hole is, from the copper round it, with a chain of reasons.

mod holes;

pub use holes::holes;
