//! Rules: one fault, one file, one page.

use crate::capability::{Capability, Order};
use crate::check::Measured;
use crate::query::Verdict;

/// Runs every rule and words the queries.
#[must_use]
pub fn judge(_measured: &Measured, _capability: &Capability, _order: &Order) -> Verdict {
    Verdict::default()
}
