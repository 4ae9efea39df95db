//! Why something cannot be done with a line.

use super::role::Role;
use super::state::State;
use super::table::Action;

/// Why something cannot be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Not in this state.
    State(Action, State),
    /// Not by this role.
    Role(Action, Role),
    /// Without a reason.
    Reason(Action),
    /// Someone else acted in between: the line stands at this event now.
    Changed(u32),
    /// What was given with it does not do.
    Content(String),
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::State(action, state) => {
                let states: Vec<&str> = action.row().from.iter().map(|s| s.word()).collect();
                write!(
                    out,
                    "The line is {}; it can be {} only when it is {}.",
                    state.word(),
                    action.word(),
                    states.join(", ")
                )
            }
            Self::Role(action, role) => {
                let roles: Vec<&str> = action.row().by.iter().map(|r| r.word()).collect();
                write!(out, "As {} you cannot do this; it takes one of: {}.", role.word(), roles.join(", "))
            }
            Self::Reason(_) => write!(out, "Give a reason; it is kept with the line."),
            Self::Changed(event) => write!(
                out,
                "Someone else changed this line in the meantime (it stands at entry {event} of its log). Look at it again and repeat what is still wanted."
            ),
            Self::Content(what) => write!(out, "{what}"),
        }
    }
}

impl std::error::Error for Refusal {}
