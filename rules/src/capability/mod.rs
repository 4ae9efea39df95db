//! Capability profiles and orders.

/// What a shop can hold.
#[derive(Clone, Debug, Default)]
pub struct Capability {
    /// Its name.
    pub name: String,
}

/// What was ordered.
#[derive(Clone, Debug, Default)]
pub struct Order {}
