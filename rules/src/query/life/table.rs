//! The one table of moves: from where, to where, by whom, and whether a reason must be given.

use super::role::Role::{self, Buyer, Designer, Engineer, Lead, Machine, Sales, Script, SecondEngineer, Tooling};
use super::state::State::{
    self, Answered, Checked, Clear, Closed, Covered, Done, Found, Gone, Lapsed, SetAside, StillThere, TakenBack,
    Unclear, WaitingForData, WithCustomer, Worded, Worse,
};

/// What can be done with a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Action {
    /// A permission or an earlier answer settles it.
    Cover,
    /// It is asked although something would settle it.
    PullOut,
    /// It is no query.
    SetAside,
    /// It is one after all.
    PickUp,
    /// The line is written, or written otherwise before it is sent.
    Word,
    /// A second pair of eyes agrees.
    Check,
    /// A second pair of eyes does not.
    HandBack,
    /// It goes to the customer.
    Send,
    /// The customer replies.
    Answer,
    /// The customer replied by telephone.
    NoteTelephone,
    /// The reply settles it.
    JudgeClear,
    /// The reply does not settle it.
    JudgeUnclear,
    /// A line that was sent is followed by its next version.
    AskAgain,
    /// Decided without the customer's answer.
    Decide,
    /// We withdraw it.
    TakeBack,
    /// The change is made, or nothing is to be done.
    Finish,
    /// New data are to come.
    AwaitData,
    /// New data were checked and no longer show it.
    FindGone,
    /// New data were checked and still show it.
    FindStillThere,
    /// New data were checked and show it worse.
    FindWorse,
    /// It becomes part of the record.
    Close,
    /// It is taken up again.
    Reopen,
    /// The order was cancelled, or no answer came.
    Lapse,
}

impl Action {
    /// Every action.
    pub const ALL: [Self; 23] = [
        Self::Cover,
        Self::PullOut,
        Self::SetAside,
        Self::PickUp,
        Self::Word,
        Self::Check,
        Self::HandBack,
        Self::Send,
        Self::Answer,
        Self::NoteTelephone,
        Self::JudgeClear,
        Self::JudgeUnclear,
        Self::AskAgain,
        Self::Decide,
        Self::TakeBack,
        Self::Finish,
        Self::AwaitData,
        Self::FindGone,
        Self::FindStillThere,
        Self::FindWorse,
        Self::Close,
        Self::Reopen,
        Self::Lapse,
    ];

    /// The words of the log.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cover => "covered",
            Self::PullOut => "pulled out",
            Self::SetAside => "set aside",
            Self::PickUp => "picked up",
            Self::Word => "worded",
            Self::Check => "checked",
            Self::HandBack => "handed back",
            Self::Send => "sent",
            Self::Answer => "answered",
            Self::NoteTelephone => "answered by telephone",
            Self::JudgeClear => "judged clear",
            Self::JudgeUnclear => "judged unclear",
            Self::AskAgain => "asked again",
            Self::Decide => "decided",
            Self::TakeBack => "taken back",
            Self::Finish => "finished",
            Self::AwaitData => "waits for data",
            Self::FindGone => "found gone",
            Self::FindStillThere => "found still there",
            Self::FindWorse => "found worse",
            Self::Close => "closed",
            Self::Reopen => "reopened",
            Self::Lapse => "lapsed",
        }
    }

    /// Its row of the table.
    #[must_use]
    pub fn row(self) -> &'static Row {
        TABLE.iter().find(|r| r.action == self).unwrap_or(&TABLE[0])
    }
}

/// One row: an action, where it may be done, where it leads, by whom, and whether it needs a reason.
#[derive(Debug)]
pub struct Row {
    /// The action.
    pub action: Action,
    /// States it may be done in.
    pub from: &'static [State],
    /// The state it leads to.
    pub to: State,
    /// Who may do it.
    pub by: &'static [Role],
    /// Whether a reason must be given.
    pub reason: bool,
}

const fn row(action: Action, from: &'static [State], to: State, by: &'static [Role], reason: bool) -> Row {
    Row { action, from, to, by, reason }
}

/// Everything that is open, for what may happen to any open line.
const OPEN: &[State] =
    &[Found, Covered, Worded, Checked, WithCustomer, Answered, Unclear, Clear, WaitingForData, StillThere, Worse];

/// Those who write and judge.
const WRITERS: &[Role] = &[Engineer, SecondEngineer, Lead];

/// The table.
pub const TABLE: &[Row] = &[
    row(Action::Cover, &[Found], Covered, &[Machine, Engineer, SecondEngineer, Lead], true),
    row(Action::PullOut, &[Covered], Found, WRITERS, true),
    row(Action::SetAside, &[Found, Worded], SetAside, WRITERS, true),
    row(Action::PickUp, &[SetAside], Found, WRITERS, false),
    row(Action::Word, &[Found, Worded], Worded, WRITERS, false),
    row(Action::Check, &[Worded], Checked, &[SecondEngineer, Lead], false),
    row(Action::HandBack, &[Worded, Checked], Found, &[SecondEngineer, Lead], true),
    row(Action::Send, &[Worded, Checked], WithCustomer, &[Engineer, SecondEngineer, Lead, Sales], false),
    row(Action::Answer, &[WithCustomer], Answered, &[Designer, Buyer], false),
    row(Action::NoteTelephone, &[WithCustomer], Answered, WRITERS, false),
    row(Action::JudgeClear, &[Answered], Clear, WRITERS, false),
    row(Action::JudgeUnclear, &[Answered], Unclear, WRITERS, true),
    row(Action::AskAgain, &[WithCustomer, Answered, Unclear, StillThere, Worse], Worded, WRITERS, true),
    row(Action::Decide, &[Found, Worded, Checked, WithCustomer, Unclear, StillThere, Worse], Clear, &[Lead], true),
    row(Action::TakeBack, &[WithCustomer, Answered, Unclear], TakenBack, WRITERS, true),
    row(Action::Finish, &[Clear, Covered], Done, &[Engineer, SecondEngineer, Lead, Tooling], true),
    row(Action::AwaitData, &[Clear], WaitingForData, &[Machine, Engineer, SecondEngineer, Lead], false),
    row(Action::FindGone, &[WaitingForData], Gone, &[Machine], false),
    row(Action::FindStillThere, &[WaitingForData], StillThere, &[Machine], false),
    row(Action::FindWorse, &[WaitingForData], Worse, &[Machine], false),
    row(
        Action::Close,
        &[Done, Gone, TakenBack, SetAside],
        Closed,
        &[Machine, Engineer, SecondEngineer, Lead, Sales],
        false,
    ),
    row(Action::Reopen, &[Closed, Lapsed, TakenBack, Done, Gone], Found, WRITERS, true),
    row(Action::Lapse, OPEN, Lapsed, &[Machine, Lead, Sales], true),
];

/// Whether a role may make a line at all: the machine and scripts find, engineers notice.
#[must_use]
pub const fn may_find(role: Role) -> bool {
    matches!(role, Machine | Script | Engineer | SecondEngineer | Lead)
}
