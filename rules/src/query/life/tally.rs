//! Times and rates of some lines, from their logs alone.

use serde::Serialize;

use super::line::Line;
use super::state::State;
use super::table::Action;
use super::text::Event;

/// What the logs of a part or of a shop come to.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Tally {
    /// Lines that were sent at least once.
    pub sent: u32,
    /// Most versions of one line that were sent: rounds with the customer.
    pub rounds: u32,
    /// Mean time from sending to a reply, in hours.
    pub answer_hours: Option<f64>,
    /// Hours during which at least one line of these was with the customer.
    pub hold_hours: f64,
    /// Lines taken back: false queries.
    pub taken_back: u32,
    /// Replies judged unclear.
    pub unclear: u32,
    /// Lines covered by an agreement.
    pub covered: u32,
    /// Lines reopened.
    pub reopened: u32,
    /// Replies that came by telephone.
    pub by_telephone: u32,
    /// Lines answered with the data as they are: the meter of false alarms.
    pub as_drawn: u32,
}

/// Counts and times; `now` ends what is still with the customer.
#[must_use]
pub fn tally(lines: &[Line], now: i64) -> Tally {
    let count = |action: Action| events(lines).filter(|e| e.done == action.word()).count() as u32;
    let waits: Vec<(i64, i64, bool)> = lines.iter().flat_map(|l| waits(l, now)).collect();
    let answered: Vec<f64> = waits.iter().filter(|w| w.2).map(|w| hours(w.1 - w.0)).collect();
    let accepted = |l: &&Line| {
        let chosen = l.decision.as_ref().and_then(|d| d.option);
        let option = chosen.and_then(|k| l.latest()?.text.options.iter().find(|o| o.key == k));
        option.is_some_and(|o| o.accepts)
    };
    Tally {
        sent: lines.iter().filter(|l| l.versions.iter().any(|v| v.sent.is_some())).count() as u32,
        rounds: lines.iter().map(|l| l.versions.iter().filter(|v| v.sent.is_some()).count() as u32).max().unwrap_or(0),
        answer_hours: (!answered.is_empty()).then(|| answered.iter().sum::<f64>() / answered.len() as f64),
        hold_hours: hours(covered_time(waits.iter().map(|w| (w.0, w.1)).collect())),
        taken_back: count(Action::TakeBack),
        unclear: count(Action::JudgeUnclear),
        covered: count(Action::Cover),
        reopened: count(Action::Reopen),
        by_telephone: count(Action::NoteTelephone),
        as_drawn: lines.iter().filter(accepted).count() as u32,
    }
}

fn events(lines: &[Line]) -> impl Iterator<Item = &Event> {
    lines.iter().flat_map(|l| &l.log)
}

fn hours(seconds: i64) -> f64 {
    seconds as f64 / 3600.0
}

/// The stretches during which a line was with the customer, and whether a reply ended them.
fn waits(line: &Line, now: i64) -> Vec<(i64, i64, bool)> {
    let mut out = Vec::new();
    let mut since = None;
    for event in &line.log {
        if event.to == State::WithCustomer {
            since = Some(event.at);
        } else if let Some(from) = since.take() {
            out.push((from, event.at, event.to == State::Answered));
        }
    }
    out.extend(since.map(|from| (from, now.max(from), false)));
    out
}

/// The time covered by some stretches, overlaps counted once.
fn covered_time(mut stretches: Vec<(i64, i64)>) -> i64 {
    stretches.sort_unstable();
    let (mut total, mut end) = (0, i64::MIN);
    for (from, to) in stretches {
        total += (to - from.max(end)).max(0);
        end = end.max(to);
    }
    total
}
