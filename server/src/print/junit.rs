//! Reports for test dashboards: one suite a profile, one case a rule.

use std::fmt::Write;

use super::{Threshold, matrix, words};
use crate::wire::Report;
use crate::wire::report::{Query, RuleRan};

/// The document; queries at or above `threshold` fail their case.
#[must_use]
pub fn print(reports: &[Report], threshold: Threshold) -> String {
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"landgap\">\n");
    for report in reports {
        suite(&mut out, report, threshold);
    }
    out += "</testsuites>\n";
    out
}

fn suite(out: &mut String, report: &Report, threshold: Threshold) {
    let name = format!("capability {}", matrix::name(report));
    let unreadable = u32::from(!report.verdict_is_possible());
    let failures = report.ran.iter().filter(|r| !failing(report, r, threshold).is_empty()).count();
    let skipped = report.ran.iter().filter(|r| r.not_run.is_some() && failing(report, r, threshold).is_empty()).count();
    let _ = writeln!(
        out,
        "  <testsuite name=\"{}\" tests=\"{}\" failures=\"{failures}\" errors=\"{unreadable}\" skipped=\"{skipped}\">",
        escape(&name),
        report.ran.len() as u32 + unreadable,
    );
    let _ = writeln!(
        out,
        "    <properties>\n      <property name=\"data\" value=\"{}\"/>\n    </properties>",
        escape(&report.data.id)
    );
    if unreadable > 0 {
        out.push_str("    <testcase classname=\"data\" name=\"copper can be read\">\n");
        out.push_str("      <error message=\"no copper layer could be read: no verdict is possible\" type=\"unreadable\"/>\n    </testcase>\n");
    }
    for ran in &report.ran {
        case(out, report, ran, threshold);
    }
    out.push_str("  </testsuite>\n");
}

fn failing<'a>(report: &'a Report, ran: &RuleRan, threshold: Threshold) -> Vec<&'a Query> {
    report.queries.iter().filter(|q| q.rule == ran.rule && threshold.reached_by(&q.severity)).collect()
}

fn case(out: &mut String, report: &Report, ran: &RuleRan, threshold: Threshold) {
    let _ = writeln!(out, "    <testcase classname=\"landgap\" name=\"{}\">", escape(&ran.rule));
    let failing = failing(report, ran, threshold);
    if failing.is_empty() {
        if let Some(why) = &ran.not_run {
            let _ = writeln!(out, "      <skipped message=\"{}\"/>", escape(why));
        }
    } else {
        let titles: Vec<&str> = failing.iter().map(|q| q.title.as_str()).collect();
        let bodies: Vec<String> = failing.iter().map(|q| body(q)).collect();
        let _ = writeln!(
            out,
            "      <failure message=\"{}\" type=\"{}\">{}</failure>",
            escape(&titles.join(" | ")),
            escape(&failing[0].severity),
            escape(&bodies.join("\n\n"))
        );
    }
    let mut below: Vec<String> =
        report.queries.iter().filter(|q| q.rule == ran.rule && !threshold.reached_by(&q.severity)).map(body).collect();
    let covered = report.covered.iter().filter(|q| q.rule == ran.rule);
    below.extend(
        covered.map(|q| format!("{}\n{}", body(q), q.settled_by.as_ref().map_or_else(String::new, words::settled_by))),
    );
    if !below.is_empty() {
        let _ = writeln!(out, "      <system-out>{}</system-out>", escape(&below.join("\n\n")));
    }
    out.push_str("    </testcase>\n");
}

fn body(query: &Query) -> String {
    let mut text = format!("{}. [{}] {}\n{}\n{}", query.number, query.severity, query.title, query.what, query.why);
    let numbers = words::measured_required(query.measured_um, query.required_um);
    if !numbers.is_empty() {
        text += &format!("\n{numbers}");
    }
    for place in &query.places {
        text += &format!("\n{}", words::position(place));
    }
    text
}

/// Text for XML 1.0: markup escaped, characters it may not hold replaced.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\r' | '\t' => out.push(c),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}
