//! Placing without help: real sets under names that say nothing and without their attributes, and
//! real sets with a layer mirrored, moved, swapped or left out.
//!
//! The sets are optional checking data beside the repository; without them these tests say so and pass.
//! The thresholds of what is told by content were set with these same sets in view.

#[path = "nameless/change.rs"]
mod change;
// Shared with the tests of placing, which use more of it.
#[allow(dead_code)]
#[path = "placing/common.rs"]
mod common;
#[path = "nameless/holes.rs"]
mod holes;
#[path = "nameless/moved.rs"]
mod moved;
#[path = "nameless/roles.rs"]
mod roles;
#[path = "nameless/swapped.rs"]
mod swapped;
