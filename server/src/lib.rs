//! The only crate with the outside world: command line, HTTP, storage and files.
//!
//! Data come in through [`intake`], go through the rules in [`engine`], leave as the report of
//! [`wire`], and are printed by [`print`], drawn by [`figure`] and laid out by [`form`]. The
//! service in [`http`] runs checks as [`job`]s; [`command`] is the command line.

pub mod apart;
pub mod command;
pub mod engine;
pub mod fault;
pub mod figure;
pub mod figures;
pub mod form;
pub mod http;
pub mod intake;
pub mod job;
pub mod pdf;
pub mod people;
pub mod print;
pub mod profile;
pub mod queue;
pub mod store;
pub mod terms;
pub mod wire;
