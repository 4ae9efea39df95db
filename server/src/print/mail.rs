//! The body of a mail: what is asked, in plain words a buyer can forward.

use std::fmt::Write;

use super::words;
use crate::wire::Report;
use crate::wire::report::Query;
use crate::wire::um::mm;

/// Longest line.
const WIDE: usize = 72;

/// Subject and body.
#[must_use]
pub fn print(report: &Report) -> String {
    let asked: Vec<&Query> = report.queries.iter().filter(|q| q.severity == "stop" || q.severity == "ask").collect();
    let told: Vec<&Query> = report.queries.iter().filter(|q| q.severity == "note" || q.severity == "fix").collect();
    let mut out = format!("Subject: {}\n\n", subject(report, asked.len()));
    let body = if asked.is_empty() {
        "your data have been checked and nothing in them needs an answer from you."
    } else {
        "your data have been checked. Before the board can be tooled we need an answer to each of the questions below. Each has ready answers: the letter alone will do. The form attached has pictures and every place."
    };
    wrapped(&mut out, "", &format!("Dear customer, {body}"));
    out.push('\n');
    if let Some(day) = &report.ordered.answer_by {
        wrapped(&mut out, "", &format!("Please answer by {day}."));
        out.push('\n');
    }
    asked.iter().for_each(|q| question(&mut out, q));
    part(&mut out, "For your knowledge, no answer needed:", &told);
    part(&mut out, "Accepted by you earlier:", &report.covered.iter().collect::<Vec<_>>());
    out += "Please note:\n";
    report.cautions.iter().for_each(|c| wrapped(&mut out, "  ", c));
    let _ = writeln!(out, "\nData set:\n{}", report.data.id);
    out
}

fn subject(report: &Report, asked: usize) -> String {
    let o = &report.ordered;
    let revision = o.revision.as_ref().map(|r| format!("revision {r}"));
    let parts: Vec<String> =
        [o.part.clone(), revision, o.number.as_ref().map(|n| format!("order {n}"))].into_iter().flatten().collect();
    let what = if parts.is_empty() { "your board".to_owned() } else { parts.join(", ") };
    let line = format!("{}: {}", what, if asked == 1 { "1 question".to_owned() } else { format!("{asked} questions") });
    // A subject is one line, whatever an order says.
    line.split(|c: char| c.is_control()).collect::<Vec<_>>().join(" ")
}

fn question(out: &mut String, query: &Query) {
    wrapped(out, "", &format!("{}. {}", query.number, query.title));
    wrapped(out, "   ", &query.what);
    wrapped(out, "   ", &query.why);
    let numbers = words::measured_required(query.measured_um, query.required_um);
    if !numbers.is_empty() {
        wrapped(out, "   ", &format!("{numbers}."));
    }
    if let Some(place) = query.places.first() {
        let at = format!("Place: x {}, y {} mm, {}.", mm(place.x_um), mm(place.y_um), words::layers(query));
        wrapped(out, "   ", &at);
    }
    for option in &query.options {
        let mark = if option.recommended { " (we suggest this)" } else { "" };
        wrapped(out, "   ", &format!("{}: {}{mark} {}", option.key, option.text, option.effect));
    }
    out.push('\n');
}

fn part(out: &mut String, head: &str, queries: &[&Query]) {
    if queries.is_empty() {
        return;
    }
    let _ = writeln!(out, "{head}");
    queries.iter().for_each(|q| wrapped(out, "  ", &format!("{}. {}", q.number, q.title)));
    out.push('\n');
}

fn wrapped(out: &mut String, indent: &str, text: &str) {
    let mut line = indent.to_owned();
    for word in text.split_whitespace() {
        if line.chars().count() + word.chars().count() > WIDE && line.trim() != "" {
            let _ = writeln!(out, "{}", line.trim_end());
            line = indent.to_owned();
        }
        line += word;
        line.push(' ');
    }
    let _ = writeln!(out, "{}", line.trim_end());
}
