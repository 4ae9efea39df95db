//! Behind the queries: the measures, the files with their evidence, what ran, and every place.

use std::fmt::Write;

use super::query::{HEADS, row};
use super::{heading, list, table};
use crate::print::junit::escape;
use crate::print::words;
use crate::wire::Report;
use crate::wire::um::mm;

/// Writes the appendix.
pub fn write(out: &mut String, report: &Report) {
    measures(out, report);
    files(out, report);
    ran(out, report);
    places(out, report);
}

fn measures(out: &mut String, report: &Report) {
    if report.measured.is_empty() && report.not_measured.is_empty() {
        return;
    }
    heading(out, "Least measures, as drawn");
    let row = |m: &crate::wire::report::Least| {
        vec![
            words::fact(&m.fact),
            m.on.clone().unwrap_or_else(|| "–".to_owned()),
            mm(m.least_um),
            mm(m.uncertainty_um),
            mm(m.at_um[0]),
            mm(m.at_um[1]),
        ]
    };
    let rows: Vec<Vec<String>> = report.measured.iter().map(row).collect();
    table(out, &["measure", "layer", "#least mm", "#± mm", "#x mm", "#y mm"], &rows);
    let none: Vec<String> = report
        .not_measured
        .iter()
        .map(|n| format!("{} was not measured: {}", words::fact(&n.fact), n.reason))
        .collect();
    list(out, &none);
}

fn files(out: &mut String, report: &Report) {
    heading(out, "Files");
    let row = |f: &crate::wire::report::File| {
        let mut evidence = f.evidence.join(" ");
        if let Some(other) = &f.runner_up {
            evidence += &format!(" Otherwise: {other}.");
        }
        if let Some(format) = &f.format {
            evidence += &format!(" Numbers: {format}.");
        }
        let sure = format!("{:.0} %", f.confidence * 100.0);
        vec![f.path.clone(), words::role(f), f.known_by.clone(), sure, evidence, f.sha256.chars().take(12).collect()]
    };
    let rows: Vec<Vec<String>> = report.data.files.iter().map(row).collect();
    table(out, &["file", "what it is", "known by", "#sure", "evidence", "sha256"], &rows);
    let remarks: Vec<String> = report
        .data
        .files
        .iter()
        .flat_map(|f| {
            f.remarks
                .iter()
                .map(move |r| format!("{}, line {}: {} ({}): {}", f.path, r.line, r.severity, r.code, r.text))
        })
        .collect();
    list(out, &remarks);
}

fn ran(out: &mut String, report: &Report) {
    heading(out, "What ran");
    let rows: Vec<Vec<String>> = report
        .ran
        .iter()
        .filter(|r| r.not_run.is_none())
        .map(|r| vec![r.rule.clone(), r.looked_at.unwrap_or(0).to_string(), r.found.unwrap_or(0).to_string()])
        .collect();
    table(out, &["rule", "#looked at", "#found"], &rows);
    heading(out, "What could not run");
    let not: Vec<String> =
        report.ran.iter().filter_map(|r| r.not_run.as_ref().map(|why| format!("{}: {why}", r.rule))).collect();
    if not.is_empty() {
        out.push_str("<p>Every rule ran.</p>\n");
    }
    list(out, &not);
}

fn places(out: &mut String, report: &Report) {
    if report.queries.iter().all(|q| q.places.is_empty()) {
        return;
    }
    heading(out, "Appendix: every place");
    out.push_str("<div class=\"every\">\n");
    for query in report.queries.iter().filter(|q| !q.places.is_empty()) {
        let _ = writeln!(out, "<h3>{}. {}</h3>", query.number, escape(&query.title));
        table(out, HEADS, &query.places.iter().enumerate().map(|(i, p)| row(i, p)).collect::<Vec<_>>());
    }
    out.push_str("</div>\n");
}
