//! Hostile data meet the program in a process apart: it has no database, no network address, no secrets, and a
//! bound on time and memory. When it ends by itself, nothing else does.
//!
//! [`host`] is the service's side, [`guest`] the side in the other process, [`words`] what they say to each other.
//! A guest keeps what it has measured, so that judging the same board again takes no measuring.

pub mod guest;
pub mod host;
pub mod words;

pub use host::{Done, Ended, Rooms};
