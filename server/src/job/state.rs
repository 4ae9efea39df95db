//! How far a check has come.

use landgap_rules::check::Stage;
use serde::{Deserialize, Serialize};

use crate::fault::Problem;

/// The state of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum State {
    /// Waits for a thread.
    Queued,
    /// At work.
    Running,
    /// The report is there.
    Done,
    /// Could not be checked; never means that the board is clear.
    Failed,
    /// Left on request.
    Cancelled,
}

impl State {
    /// Whether nothing will change any more.
    #[must_use]
    pub const fn is_final(self) -> bool {
        matches!(self, Self::Done | Self::Failed | Self::Cancelled)
    }

    /// The word used on the wire.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Queued => "queued",
            Self::Running => "running",
            Self::Done => "done",
            Self::Failed => "failed",
            Self::Cancelled => "cancelled",
        }
    }
}

/// State, stage and how far the stage has come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Progress {
    /// State.
    pub state: State,
    /// Stage by its word, while running: `read`, `place`, `image`, `measure`, `ask`.
    pub stage: Option<String>,
    /// Parts of the stage done.
    pub done: usize,
    /// Parts of the stage; 0 where it has none.
    pub of: usize,
    /// Why it failed.
    pub problem: Option<Problem>,
}

impl Progress {
    /// A state without more.
    #[must_use]
    pub const fn of(state: State) -> Self {
        Self { state, stage: None, done: 0, of: 0, problem: None }
    }

    /// At work on a stage.
    #[must_use]
    pub fn at(stage: Stage) -> Self {
        let (word, done, of) = match stage {
            Stage::Read(done, of) => ("read", done, of),
            Stage::Place => ("place", 0, 0),
            Stage::Image(done, of) => ("image", done, of),
            Stage::Measure => ("measure", 0, 0),
            Stage::Ask => ("ask", 0, 0),
        };
        Self { stage: Some(word.to_owned()), done, of, ..Self::of(State::Running) }
    }
}

/// A stage in plain words.
#[must_use]
pub const fn words(stage: Stage) -> &'static str {
    match stage {
        Stage::Read(..) => "reading files",
        Stage::Place => "finding out what each file is",
        Stage::Image(..) => "building layers",
        Stage::Measure => "measuring",
        Stage::Ask => "judging and asking",
    }
}
