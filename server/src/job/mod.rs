//! Checks as long work: asked for, queued, run on few threads, kept on disk.

pub mod desk;
pub mod request;
pub mod state;
pub mod store;
pub mod work;

#[cfg(test)]
mod tests;

pub use desk::Desk;
pub use request::CheckRequest;
pub use state::{Progress, State};
pub use store::Store;
