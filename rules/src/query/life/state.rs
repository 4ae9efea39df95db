//! Where a line stands.

use serde::{Deserialize, Serialize};

/// Where a line stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// The machine or a person noticed it.
    Found,
    /// A permission or an earlier answer settles it.
    Covered,
    /// No query after all; the reason is kept.
    SetAside,
    /// The line is written and its pictures are looked at.
    Worded,
    /// A second pair of eyes has seen it.
    Checked,
    /// Sent.
    WithCustomer,
    /// A reply is here and not yet judged.
    Answered,
    /// The reply does not settle it.
    Unclear,
    /// The reply settles it.
    Clear,
    /// The customer will send new data.
    WaitingForData,
    /// Done, or accepted as it is.
    Done,
    /// New data no longer show it.
    Gone,
    /// New data still show it.
    StillThere,
    /// New data show it worse than before.
    Worse,
    /// We withdraw it: it should not have been asked.
    TakenBack,
    /// Part of the record.
    Closed,
    /// The order was cancelled, or no answer came in time.
    Lapsed,
}

impl State {
    /// Every state, in the order of a line's life.
    pub const ALL: [Self; 17] = [
        Self::Found,
        Self::Covered,
        Self::SetAside,
        Self::Worded,
        Self::Checked,
        Self::WithCustomer,
        Self::Answered,
        Self::Unclear,
        Self::Clear,
        Self::WaitingForData,
        Self::Done,
        Self::Gone,
        Self::StillThere,
        Self::Worse,
        Self::TakenBack,
        Self::Closed,
        Self::Lapsed,
    ];

    /// The words people read.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Found => "found",
            Self::Covered => "covered",
            Self::SetAside => "set aside",
            Self::Worded => "worded",
            Self::Checked => "checked",
            Self::WithCustomer => "with customer",
            Self::Answered => "answered",
            Self::Unclear => "unclear",
            Self::Clear => "clear",
            Self::WaitingForData => "waiting for data",
            Self::Done => "done",
            Self::Gone => "gone",
            Self::StillThere => "still there",
            Self::Worse => "worse",
            Self::TakenBack => "taken back",
            Self::Closed => "closed",
            Self::Lapsed => "lapsed",
        }
    }

    /// Whether a line in this state keeps its part from tooling.
    #[must_use]
    pub const fn keeps_from_tooling(self) -> bool {
        match self {
            Self::Found
            | Self::Worded
            | Self::Checked
            | Self::WithCustomer
            | Self::Answered
            | Self::Unclear
            | Self::Clear
            | Self::WaitingForData
            | Self::StillThere
            | Self::Worse => true,
            Self::Covered
            | Self::SetAside
            | Self::Done
            | Self::Gone
            | Self::TakenBack
            | Self::Closed
            | Self::Lapsed => false,
        }
    }
}
