//! What a check is: what is asked, how far it is, the work itself.

pub mod request;
pub mod state;
pub mod work;

pub use request::CheckRequest;
pub use state::{Progress, State};
