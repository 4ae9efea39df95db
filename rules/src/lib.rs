//! Places, recognises, measures, judges and asks.
//!
//! One way through: files are **placed** as layers of one board, holes and features are
//! **recognised**, the final image is **measured** into facts that depend on no shop, facts are
//! **judged** against a capability profile, and what needs an answer is **asked** in few queries.
//!
//! Everything here is a pure function of its input: no files, no network, no clock, no randomness.

pub mod board;
pub mod capability;
pub mod check;
pub mod compare;
pub mod fact;
pub mod geometry;
pub mod measure;
pub mod netlist;
pub mod place;
pub mod propose;
pub mod query;
pub mod recognise;
pub mod rule;
pub mod threads;

pub use landgap_parser as parser;
