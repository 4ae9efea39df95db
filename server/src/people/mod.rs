//! People and what they may do: accounts, sessions, tokens, links to answer by.

pub mod accounts;
pub mod caller;
pub mod customers;
pub mod links;
pub mod password;
pub mod role;
pub mod secret;
pub mod sessions;
pub mod tokens;

pub use caller::Caller;
pub use role::{Role, Scope};
