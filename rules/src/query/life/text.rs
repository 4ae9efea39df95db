//! What a line is made of: its words, its versions, the entries of its log.

use serde::{Deserialize, Serialize};

use super::role::Actor;
use super::state::State;
use crate::query::page::Answer;
use crate::query::{Query, QueryOption, Severity};

/// A ready answer of a line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TextOption {
    /// `A`, `B`, `C`.
    pub key: char,
    /// What will be done.
    pub text: String,
    /// What it does to price, delivery and risk.
    pub effect: String,
    /// Whether it means new data.
    pub new_data: bool,
    /// Whether it means that the board is taken as drawn.
    pub accepts: bool,
    /// Whether it is about price or delivery, so that a buyer may choose it.
    pub commercial: bool,
    /// Whether we would choose it.
    pub recommended: bool,
}

/// The words of a line.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Text {
    /// One sentence.
    pub title: String,
    /// What is seen.
    pub what: String,
    /// Why it matters.
    pub why: String,
    /// Ready answers.
    pub options: Vec<TextOption>,
}

impl Text {
    /// The words of a query.
    #[must_use]
    pub fn of(query: &Query) -> Self {
        let option = |o: &QueryOption| TextOption {
            key: o.key,
            text: o.text.clone(),
            effect: o.effect.clone(),
            new_data: o.answer == Answer::NewData,
            accepts: o.answer == Answer::Acceptance,
            commercial: ["price", "delivery"].iter().any(|w| o.text.contains(w)),
            recommended: o.recommended,
        };
        Self {
            title: query.title.clone(),
            what: query.what.clone(),
            why: query.why.clone(),
            options: query.options.iter().map(option).collect(),
        }
    }

    pub(super) fn fault(&self) -> Option<&'static str> {
        let mut keys: Vec<char> = self.options.iter().map(|o| o.key).collect();
        keys.sort_unstable();
        keys.dedup();
        if self.title.trim().is_empty() || self.what.trim().is_empty() {
            Some("A line needs a title and what is seen.")
        } else if self.options.len() < 2 || keys.len() < self.options.len() {
            Some("A line needs at least two answers to choose from, each with a letter of its own.")
        } else {
            None
        }
    }
}

/// A version of a line. What was sent stays as it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Version {
    /// From 1.
    pub number: u32,
    /// Its words.
    pub text: Text,
    /// The data set it speaks of.
    pub data_set: String,
    /// When it was sent, in seconds since 1970 (UTC).
    pub sent: Option<i64>,
}

/// An entry of the log.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Event {
    /// From 1.
    pub number: u32,
    /// Seconds since 1970 (UTC).
    pub at: i64,
    /// Who.
    pub by: Actor,
    /// What, in a word or two.
    pub done: String,
    /// The state before.
    pub from: State,
    /// The state after.
    pub to: State,
    /// The version it is about.
    pub version: u32,
    /// The reason, the reply, the decision.
    pub text: String,
}

/// What a shop holds to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Policy {
    /// Lines of this severity and above are seen by a second pair of eyes before they are sent; none where it is `None`.
    pub checked_from: Option<Weight>,
}

/// Severity, as stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// See [`Severity::Fix`].
    Fix,
    /// See [`Severity::Note`].
    Note,
    /// See [`Severity::Ask`].
    Ask,
    /// See [`Severity::Stop`].
    Stop,
}

impl From<Severity> for Weight {
    fn from(severity: Severity) -> Self {
        match severity {
            Severity::Fix => Self::Fix,
            Severity::Note => Self::Note,
            Severity::Ask => Self::Ask,
            Severity::Stop => Self::Stop,
        }
    }
}

impl Default for Policy {
    fn default() -> Self {
        Self { checked_from: Some(Weight::Stop) }
    }
}

/// What a line begins with.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found {
    /// The rule; `person` where a person noticed it.
    pub rule: String,
    /// How much it weighs.
    pub severity: Weight,
    /// The query's fingerprint.
    pub fingerprint: String,
    /// Its words.
    pub text: Text,
}

impl Found {
    /// From a query.
    #[must_use]
    pub fn of(query: &Query) -> Self {
        Self {
            rule: query.rule.to_owned(),
            severity: query.severity.into(),
            fingerprint: query.fingerprint.clone(),
            text: Text::of(query),
        }
    }
}
