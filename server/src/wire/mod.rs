//! The report as other programs read it.

pub mod assemble;
pub mod board;
pub mod cautions;
pub mod codes;
pub mod compared;
pub mod facts;
pub mod groups;
pub mod remark;
pub mod report;
pub mod um;

pub use report::Report;
pub use um::Um;

/// Version of the report's layout.
pub const REPORT_VERSION: u32 = 1;

/// Version of the program.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// JSON schema of the report.
pub const SCHEMA: &str = include_str!("../../schema/report.schema.json");
