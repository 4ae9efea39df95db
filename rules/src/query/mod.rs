//! Queries: findings grouped into few lines, each one decision with ready answers.

pub mod agreed;
pub(crate) mod asking;
mod fingerprint;
mod group;
pub mod life;
pub mod page;
mod surroundings;
pub mod wording;
pub mod words;

use landgap_parser::{Nm, Point};

use crate::board::{LayerRef, Source};

/// How much a query weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Done under a standing permission and listed.
    Fix,
    /// To tell; no answer needed.
    Note,
    /// Needs an answer before tooling.
    Ask,
    /// Cannot go on.
    Stop,
}

impl Severity {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fix => "fix",
            Self::Note => "note",
            Self::Ask => "ask",
            Self::Stop => "stop",
        }
    }
}

/// One line of the engineering-query form.
#[derive(Clone, Debug)]
pub struct Query {
    /// Number on the form, from 1.
    pub number: u32,
    /// The rule that asks.
    pub rule: &'static str,
    /// How much it weighs.
    pub severity: Severity,
    /// One sentence.
    pub title: String,
    /// What we see, in plain words.
    pub what: String,
    /// Why it matters, one sentence.
    pub why: String,
    /// Names of the layers concerned.
    pub layers: Vec<String>,
    /// The worst value, as judged.
    pub measured: Option<Nm>,
    /// The limit it is held against.
    pub required: Option<Nm>,
    /// Uncertainty of the worst value.
    pub uncertainty: Option<Nm>,
    /// Where the limit comes from, with the profile's key.
    pub required_by: Option<String>,
    /// Every place, worst first.
    pub places: Vec<QueryPlace>,
    /// The chain of reasons.
    pub reasons: Vec<String>,
    /// Ready answers.
    pub options: Vec<QueryOption>,
    /// What its places look like: each kind of surroundings once, the most frequent first.
    pub surroundings: Vec<Surroundings>,
    /// The agreement that settles it.
    pub settled_by: Option<SettledBy>,
    /// Stable across re-exports and shifts of the data.
    pub fingerprint: String,
}

/// Places of a query that look alike, however turned or mirrored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Surroundings {
    /// A name for what they look like.
    pub name: String,
    /// Its places, by their number in the query's list, from 0.
    pub places: Vec<u32>,
}

/// What settles a query that nobody need answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettledBy {
    /// `permission` or `departure`.
    pub kind: &'static str,
    /// Its name.
    pub id: String,
    /// What is done, or what was accepted.
    pub text: String,
    /// Who gave it.
    pub by: String,
    /// When.
    pub on: String,
    /// The last day it holds.
    pub until: Option<String>,
    /// The smallest value that was accepted.
    pub floor: Option<Nm>,
    /// The picture it was accepted on.
    pub picture: Option<String>,
}

/// A place a query is about.
#[derive(Clone, Debug, PartialEq)]
pub struct QueryPlace {
    /// Where to look.
    pub at: Point,
    /// Layer, if one.
    pub layer: Option<LayerRef>,
    /// The value as judged (after allowance, where the rule has one).
    pub measured: Option<Nm>,
    /// The fact it was made from, as drawn.
    pub drawn: Option<Nm>,
    /// Uncertainty of the value.
    pub uncertainty: Option<Nm>,
    /// Witness points.
    pub between: Option<(Point, Point)>,
    /// Both ends of the stretch along which the value holds, where two straight sides run side by side.
    pub run: Option<(Point, Point)>,
    /// Names of the nets on either side, where known.
    pub nets: Vec<String>,
    /// Holes concerned, index into `Board::holes`.
    pub holes: Vec<u32>,
    /// Lines of the data.
    pub sources: Vec<Source>,
}

/// A ready answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QueryOption {
    /// `A`, `B`, `C`.
    pub key: char,
    /// What will be done.
    pub text: String,
    /// What it comes to for the work.
    pub answer: page::Answer,
    /// What it does to price, delivery and risk.
    pub effect: String,
    /// Whether we would choose it.
    pub recommended: bool,
}

/// That a rule ran, or why not.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ran {
    /// The rule.
    pub rule: &'static str,
    /// How many places it looked at.
    pub looked_at: u64,
    /// How many it found at fault.
    pub found: u64,
    /// Why it could not run.
    pub not_run: Option<String>,
}

/// What became of a permission or a departure on one board.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Agreement {
    /// `permission` or `departure`.
    pub kind: &'static str,
    /// Its name.
    pub id: String,
    /// Whose boards it holds for; empty for all.
    pub scope: String,
    /// Places it settles.
    pub places: u64,
    /// Why it settles nothing, or not all of its rule's places.
    pub not: Vec<String>,
}

/// How queries are worded, and what needs no asking because it was agreed on before.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// The words.
    pub wording: wording::Wording,
    /// Permissions and departures.
    pub agreed: agreed::Agreed,
}

/// What judging one board against one capability profile comes to.
#[derive(Clone, Debug, Default)]
pub struct Verdict {
    /// The queries, gravest first.
    pub queries: Vec<Query>,
    /// What accepted departures cover; numbered on from the queries.
    pub covered: Vec<Query>,
    /// What became of each permission and departure.
    pub agreements: Vec<Agreement>,
    /// Every rule, whether or not it found anything.
    pub ran: Vec<Ran>,
    /// What was assumed because neither data nor order say it.
    pub assumptions: Vec<String>,
}
