//! What is done with a line, with what belongs to it.

use serde::{Deserialize, Serialize};

use super::table::Action;
use super::text::Text;

/// Whose boards an answer holds for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Holds {
    /// This order alone.
    #[default]
    ThisOrder,
    /// Every order of this part.
    ThisPart,
    /// All parts of this customer.
    AllParts,
}

/// A customer's reply.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reply {
    /// The ready answer chosen, by its letter.
    pub option: Option<char>,
    /// An answer in own words.
    pub text: String,
    /// Whose boards it holds for.
    pub holds: Holds,
    /// Who gave it, where that is not the one who enters it.
    pub given_by: Option<String>,
}

/// What was decided.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Decision {
    /// The option that is followed, where it is one.
    pub option: Option<char>,
    /// What will be done, in a sentence.
    pub text: String,
    /// Whether the customer sends new data.
    pub new_data: bool,
    /// Who decided.
    pub by: String,
    /// Whether it rests on a telephone call alone.
    pub by_telephone: bool,
    /// Whose boards it holds for.
    pub holds: Holds,
}

/// What a check of new data says of a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Recheck {
    /// No longer there.
    Gone,
    /// Still there, whether the same or better but still below.
    StillThere,
    /// Worse than before.
    Worse,
}

/// An action with what it needs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "action", rename_all = "kebab-case")]
pub enum Act {
    /// See [`Action::Cover`].
    Cover {
        /// The agreement.
        reason: String,
    },
    /// See [`Action::PullOut`].
    PullOut {
        /// Why.
        reason: String,
    },
    /// See [`Action::SetAside`].
    SetAside {
        /// Why.
        reason: String,
    },
    /// See [`Action::PickUp`].
    PickUp,
    /// See [`Action::Word`].
    Word {
        /// The words.
        text: Box<Text>,
    },
    /// See [`Action::Check`].
    Check,
    /// See [`Action::HandBack`].
    HandBack {
        /// Why.
        reason: String,
    },
    /// See [`Action::Send`].
    Send,
    /// See [`Action::Answer`].
    Answer {
        /// The reply.
        reply: Reply,
    },
    /// See [`Action::NoteTelephone`].
    NoteTelephone {
        /// The reply as heard; `given_by` names who gave it.
        reply: Reply,
    },
    /// See [`Action::JudgeClear`].
    JudgeClear {
        /// What was decided, where the reply chose no ready answer.
        #[serde(default)]
        decision: String,
        /// Whether the customer sends new data, where the reply chose no ready answer.
        #[serde(default)]
        new_data: bool,
    },
    /// See [`Action::JudgeUnclear`].
    JudgeUnclear {
        /// What is still open.
        reason: String,
    },
    /// See [`Action::AskAgain`].
    AskAgain {
        /// Why.
        reason: String,
        /// The words of the next version.
        text: Box<Text>,
    },
    /// See [`Action::Decide`].
    Decide {
        /// What is done, and on whose word.
        reason: String,
    },
    /// See [`Action::TakeBack`].
    TakeBack {
        /// Why.
        reason: String,
    },
    /// See [`Action::Finish`].
    Finish {
        /// What was done.
        reason: String,
    },
    /// See [`Action::AwaitData`].
    AwaitData,
    /// See [`Action::FindGone`] and its two neighbours.
    Recheck {
        /// What the check says.
        verdict: Recheck,
        /// Both values, or how it went.
        text: String,
    },
    /// See [`Action::Close`].
    Close,
    /// See [`Action::Reopen`].
    Reopen {
        /// Why.
        reason: String,
    },
    /// See [`Action::Lapse`].
    Lapse {
        /// Why.
        reason: String,
    },
}

impl Act {
    /// The row of the table this is.
    #[must_use]
    pub const fn action(&self) -> Action {
        match self {
            Self::Cover { .. } => Action::Cover,
            Self::PullOut { .. } => Action::PullOut,
            Self::SetAside { .. } => Action::SetAside,
            Self::PickUp => Action::PickUp,
            Self::Word { .. } => Action::Word,
            Self::Check => Action::Check,
            Self::HandBack { .. } => Action::HandBack,
            Self::Send => Action::Send,
            Self::Answer { .. } => Action::Answer,
            Self::NoteTelephone { .. } => Action::NoteTelephone,
            Self::JudgeClear { .. } => Action::JudgeClear,
            Self::JudgeUnclear { .. } => Action::JudgeUnclear,
            Self::AskAgain { .. } => Action::AskAgain,
            Self::Decide { .. } => Action::Decide,
            Self::TakeBack { .. } => Action::TakeBack,
            Self::Finish { .. } => Action::Finish,
            Self::AwaitData => Action::AwaitData,
            Self::Recheck { verdict: Recheck::Gone, .. } => Action::FindGone,
            Self::Recheck { verdict: Recheck::StillThere, .. } => Action::FindStillThere,
            Self::Recheck { verdict: Recheck::Worse, .. } => Action::FindWorse,
            Self::Close => Action::Close,
            Self::Reopen { .. } => Action::Reopen,
            Self::Lapse { .. } => Action::Lapse,
        }
    }

    /// The words given with it.
    pub(super) fn words(&self) -> &str {
        match self {
            Self::Cover { reason }
            | Self::PullOut { reason }
            | Self::SetAside { reason }
            | Self::HandBack { reason }
            | Self::JudgeUnclear { reason }
            | Self::AskAgain { reason, .. }
            | Self::Decide { reason }
            | Self::TakeBack { reason }
            | Self::Finish { reason }
            | Self::Reopen { reason }
            | Self::Lapse { reason } => reason,
            Self::JudgeClear { decision, .. } => decision,
            Self::Recheck { text, .. } => text,
            Self::Answer { reply } | Self::NoteTelephone { reply } => &reply.text,
            Self::PickUp | Self::Word { .. } | Self::Check | Self::Send | Self::AwaitData | Self::Close => "",
        }
    }
}
