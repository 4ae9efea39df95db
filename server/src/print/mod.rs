//! One printer per audience. All of them read nothing but reports, so that a report fetched from a
//! service prints the same bytes as one made here.

pub mod compared;
pub mod csv;
pub mod json;
pub mod junit;
pub mod mail;
pub mod matrix;
pub mod sarif;
pub mod text;
pub mod words;
pub mod xlsx;

use crate::fault::Kind;
use crate::wire::Report;

/// A severity from which on a run counts as failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, clap::ValueEnum)]
pub enum Threshold {
    /// Anything that is told.
    Note,
    /// Anything that needs an answer.
    Ask,
    /// Only what cannot go on.
    Stop,
}

impl Threshold {
    /// Whether a severity, by its word, is at or above the threshold.
    #[must_use]
    pub fn reached_by(self, severity: &str) -> bool {
        match severity {
            "stop" => true,
            "ask" => self <= Self::Ask,
            "note" => self == Self::Note,
            _ => false,
        }
    }
}

/// The exit code of a run: 4 a limit was reached, so that something was not read; 2 no verdict possible;
/// 1 queries at or above the threshold; else 0.
#[must_use]
pub fn exit_code(reports: &[Report], threshold: Threshold) -> u8 {
    if reports.iter().any(|r| r.data.limit_reached()) {
        return Kind::TooLarge.row().exit;
    }
    if reports.iter().any(|r| !r.verdict_is_possible()) {
        return 2;
    }
    let fails = |r: &Report| r.queries.iter().any(|q| threshold.reached_by(&q.severity));
    u8::from(reports.iter().any(fails))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thresholds_take_what_is_at_or_above() {
        assert!(Threshold::Stop.reached_by("stop") && !Threshold::Stop.reached_by("ask"));
        assert!(Threshold::Ask.reached_by("ask") && !Threshold::Ask.reached_by("note"));
        assert!(Threshold::Note.reached_by("note") && !Threshold::Note.reached_by("fix"));
    }
}
