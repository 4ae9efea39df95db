//! What a rule hands over: places at fault, with the limit they were held against.

use landgap_parser::Nm;

use crate::board::Source;
use crate::capability::Applied;
use crate::query::{QueryPlace, Severity};

/// Kind of layer a finding lies on; findings on different kinds are never grouped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum LayerRole {
    /// Outer copper.
    Outer,
    /// Inner copper.
    Inner,
    /// Solder mask.
    Mask,
    /// Legend.
    Legend,
    /// The board as a whole: holes, edge, files.
    Board,
}

impl LayerRole {
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Outer => "outer",
            Self::Inner => "inner",
            Self::Mask => "mask",
            Self::Legend => "legend",
            Self::Board => "board",
        }
    }
}

/// One place at fault, or one doubt.
#[derive(Clone, Debug)]
pub(crate) struct Finding {
    /// How much it weighs.
    pub severity: Severity,
    /// Case of the fault, as the page's headings name it; empty for the common one.
    pub case: &'static str,
    /// Kind of layer.
    pub role: LayerRole,
    /// The limit.
    pub applied: Option<Applied>,
    /// Where.
    pub places: Vec<QueryPlace>,
    /// What was seen, for doubts.
    pub seen: String,
    /// Why it is taken for a fault, worst place only.
    pub reasons: Vec<String>,
    /// Possible readings, likeliest first, for doubts.
    pub readings: Vec<String>,
    /// Files concerned, for doubts without a place.
    pub sources: Vec<Source>,
}

impl Finding {
    /// A place held against a limit.
    pub(crate) fn at(severity: Severity, role: LayerRole, applied: Applied, place: QueryPlace) -> Self {
        Self {
            severity,
            case: "",
            role,
            applied: Some(applied),
            places: vec![place],
            seen: String::new(),
            reasons: Vec::new(),
            readings: Vec::new(),
            sources: Vec::new(),
        }
    }

    /// A place, or the whole board, that no limit is held against.
    pub(crate) const fn without_limit(severity: Severity, role: LayerRole, places: Vec<QueryPlace>) -> Self {
        Self {
            severity,
            case: "",
            role,
            applied: None,
            places,
            seen: String::new(),
            reasons: Vec::new(),
            readings: Vec::new(),
            sources: Vec::new(),
        }
    }

    pub(crate) const fn case(mut self, case: &'static str) -> Self {
        self.case = case;
        self
    }

    /// Lowers the severity to at most `most`.
    pub(crate) fn capped(mut self, most: Severity) -> Self {
        self.severity = self.severity.min(most);
        self
    }

    pub(crate) fn reason(mut self, text: impl Into<String>) -> Self {
        self.reasons.push(text.into());
        self
    }

    /// The limit in numbers.
    pub(crate) fn required(&self) -> Option<Nm> {
        self.applied.as_ref().map(|a| a.levels.required(self.severity))
    }

    /// The worst value, as judged.
    pub(crate) fn worst(&self) -> Option<Nm> {
        self.places.iter().filter_map(|p| p.measured).min()
    }
}

/// What a rule comes to on one board.
#[derive(Debug, Default)]
pub(crate) struct Outcome {
    /// How many places it looked at.
    pub looked_at: u64,
    /// Places at fault.
    pub findings: Vec<Finding>,
    /// Why it did not run, or not in full.
    pub not_run: Option<String>,
}

impl Outcome {
    pub(crate) fn not_run(why: impl Into<String>) -> Self {
        Self { not_run: Some(why.into()), ..Self::default() }
    }
}
