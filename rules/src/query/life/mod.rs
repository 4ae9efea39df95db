//! The life of a query: from found to closed, who may move it, and when a part is free to tool.
//!
//! Pure: whoever stores lines passes in who acts and when. What was sent is never edited, only followed
//! by its next version; the log is only ever added to.

mod act;
mod gate;
mod line;
mod refusal;
mod role;
mod state;
mod table;
mod tally;
mod text;

pub use act::{Act, Decision, Holds, Recheck, Reply};
pub use gate::{Gate, Open, gate};
pub use line::Line;
pub use refusal::Refusal;
pub use role::{Actor, Role};
pub use state::State;
pub use table::{Action, Row, TABLE};
pub use tally::{Tally, tally};
pub use text::{Event, Found, Policy, Text, TextOption, Version, Weight};
