//! Placing: what each file of a set is, how drill numbers are read, where the edge runs, what is missing.
//!
//! The sets of real boards are optional checking data beside the repository; without them those
//! tests say so and pass. What they hold the result against was measured by an independent program.

#[path = "placing/common.rs"]
mod common;
#[path = "placing/odd.rs"]
mod odd;
#[path = "placing/order.rs"]
mod order;
#[path = "placing/own.rs"]
mod own;
#[path = "placing/planted.rs"]
mod planted;
#[path = "placing/real.rs"]
mod real;
#[path = "placing/sent.rs"]
mod sent;
