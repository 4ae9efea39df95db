//! What every reader promises about any input, and the entry points that search for a breach.

pub mod properties;
