//! Plain text for a terminal or a log: no colours, no time stamps, the same bytes for the same data.

use std::fmt::Write;

use landgap_rules::capability::Capability;

use super::{matrix, words};
use crate::wire::Report;
use crate::wire::report::{Least, Query, Remark};
use crate::wire::um::mm;

/// Places shown of each query; the rest are counted (JSON and CSV list them all).
const SHOWN_PLACES: usize = 5;

/// No caret stands further out: a report from elsewhere may say anything.
const LONGEST_CARET: u32 = 200;

/// One or several reports.
#[must_use]
pub fn print(reports: &[Report], capabilities: &[Capability]) -> String {
    let Some(first) = reports.first() else { return String::new() };
    let mut out = head(first);
    out += &files(first);
    out += &measures(first);
    if reports.len() > 1 {
        out += &matrix::text(reports, capabilities);
    }
    for report in reports {
        out += &judged(report);
    }
    out += &list("PLEASE NOTE", &first.cautions);
    out
}

fn head(report: &Report) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "Board: {}", words::board_line(&report.board));
    let _ = writeln!(out, "Holes: {}", words::holes_line(&report.board));
    for layer in &report.board.layers {
        let pieces = words::count(layer.islands as usize, "piece");
        let _ = writeln!(out, "Copper {} ({}): {:.1} mm² in {pieces}", layer.layer, layer.side, layer.copper_mm2);
    }
    let _ = writeln!(out, "Data set: {}", report.data.id);
    if !report.verdict_is_possible() {
        out += "\nNO VERDICT IS POSSIBLE: no copper layer could be read from these data.\n";
    }
    out.push('\n');
    out
}

fn files(report: &Report) -> String {
    let mut rows = vec![["FILES", "what it is", "known by", "sure", "bytes"].map(str::to_owned).to_vec()];
    for file in &report.data.files {
        let sure = format!("{:.0} %", file.confidence * 100.0);
        rows.push(vec![file.path.clone(), words::role(file), file.known_by.clone(), sure, file.bytes.to_string()]);
    }
    let mut out = table(&rows);
    remarks(&mut out, report);
    out.push('\n');
    out
}

/// Errors and warnings one by one; what is only worth knowing is counted.
fn remarks(out: &mut String, report: &Report) {
    let mut light = 0;
    for file in &report.data.files {
        for remark in &file.remarks {
            if remark.severity == "info" {
                light += 1;
                continue;
            }
            let at = if remark.line > 0 { format!(", line {}", remark.line) } else { String::new() };
            wrapped(out, "  ", &format!("- {}{at}: {} {}: {}", file.path, remark.severity, remark.code, remark.text));
            offending(out, remark);
        }
    }
    if light > 0 {
        let _ = writeln!(
            out,
            "  {} that need no action are left out here (--format json has them).",
            words::count(light, "remark")
        );
    }
}

/// The line a remark speaks of, with a caret under the column.
fn offending(out: &mut String, remark: &Remark) {
    let Some(excerpt) = &remark.excerpt else { return };
    let number = remark.line.to_string();
    let _ = writeln!(out, "{}", format!("    {number} | {}", excerpt.text).trim_end());
    let (margin, before) = (number.len(), excerpt.caret.min(LONGEST_CARET) as usize);
    let _ = writeln!(out, "    {:margin$} | {:before$}^", "", "");
}

fn measures(report: &Report) -> String {
    if report.measured.is_empty() && report.not_measured.is_empty() {
        return String::new();
    }
    let mut rows = vec![["LEAST MEASURES (as drawn)", "layer", "least", "±", "at"].map(str::to_owned).to_vec()];
    rows.extend(report.measured.iter().map(measure));
    let mut out = table(&rows);
    for none in &report.not_measured {
        let _ = writeln!(out, "  {} was not measured: {}", words::fact(&none.fact), none.reason);
    }
    out.push('\n');
    out
}

fn measure(least: &Least) -> Vec<String> {
    vec![
        words::fact(&least.fact),
        least.on.clone().unwrap_or_else(|| "–".to_owned()),
        format!("{} mm", mm(least.least_um)),
        mm(least.uncertainty_um),
        format!("x {}, y {} mm", mm(least.at_um[0]), mm(least.at_um[1])),
    ]
}

fn judged(report: &Report) -> String {
    let Some(capability) = &report.capability else { return String::new() };
    let mut out = String::new();
    let total = words::queries(report.queries.len());
    let _ = writeln!(out, "JUDGED against {}: {total} ({})\n", capability.name, words::verdict(&report.verdict));
    for query in &report.queries {
        out += &one(query);
    }
    out += &covered(report);
    out += &agreements(report);
    out += &list("ASSUMED", &report.assumptions);
    out += &not_run(report);
    out
}

fn one(query: &Query) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}. [{}] {}", query.number, query.severity, query.title);
    let _ = writeln!(out, "   rule {}, {}", query.rule, words::layers(query));
    wrapped(&mut out, "   ", &query.what);
    wrapped(&mut out, "   ", &query.why);
    let numbers = words::measured_required(query.measured_um, query.required_um);
    if !numbers.is_empty() {
        let by = query.required_by.as_ref().map_or_else(String::new, |b| format!(" ({b})"));
        wrapped(&mut out, "   ", &format!("{numbers}{by}"));
    }
    places(&mut out, query);
    for option in &query.options {
        let mark = if option.recommended { " (we suggest this)" } else { "" };
        wrapped(&mut out, "   ", &format!("{}: {}{mark} {}", option.key, option.text, option.effect));
    }
    out.push('\n');
    out
}

fn places(out: &mut String, query: &Query) {
    for place in query.places.iter().take(SHOWN_PLACES) {
        let mut line = format!("   - {}", words::position(place));
        if let Some(layer) = place.layer.as_ref().filter(|_| query.layers.len() > 1) {
            line += &format!(", {layer}");
        }
        if let Some(measured) = place.measured_um {
            line += &format!(": {} mm", mm(measured));
        }
        if !place.nets.is_empty() {
            line += &format!(", {}", place.nets.join(" / "));
        }
        if let Some(source) = place.sources.first() {
            line += &format!(" [{}]", words::source(source));
        }
        let _ = writeln!(out, "{line}");
    }
    if query.places.len() > SHOWN_PLACES {
        let _ = writeln!(out, "   - and {}", words::count(query.places.len() - SHOWN_PLACES, "more place"));
    }
}

/// What the customer accepted before: shown, so that nothing is hidden.
fn covered(report: &Report) -> String {
    let line = |q: &Query| {
        let by = q.settled_by.as_ref().map_or_else(String::new, words::settled_by);
        format!("{}. {} {by}", q.number, q.title)
    };
    let lines: Vec<String> = report.covered.iter().map(line).collect();
    list(&format!("ACCEPTED EARLIER ({})", lines.len()), &lines)
}

/// Permissions and departures, and why some of them settle nothing.
fn agreements(report: &Report) -> String {
    let lines: Vec<String> = report.agreements.iter().map(words::agreement).collect();
    list("PERMISSIONS AND ACCEPTED DEPARTURES", &lines)
}

fn not_run(report: &Report) -> String {
    let lines: Vec<String> =
        report.ran.iter().filter_map(|r| r.not_run.as_ref().map(|why| format!("{}: {why}", r.rule))).collect();
    let mut out = list("COULD NOT RUN", &lines);
    let ran = report.ran.len() - lines.len();
    if ran > 0 {
        let _ = writeln!(out, "{ran} of {} ran.\n", words::count(report.ran.len(), "rule"));
    }
    out
}

fn list(title: &str, lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let mut out = format!("{title}\n");
    for line in lines {
        wrapped(&mut out, "  ", &format!("- {line}"));
    }
    out.push('\n');
    out
}

/// Writes text broken at blanks to at most 100 characters a line; items of a list hang.
fn wrapped(out: &mut String, indent: &str, text: &str) {
    let hang = match text.as_bytes() {
        [b'-', b' ', ..] => "  ",
        [_, b':', b' ', ..] => "   ",
        _ => "",
    };
    let mut line = indent.to_owned();
    for word in text.split_whitespace() {
        if line.chars().count() + word.chars().count() >= 100 && line.trim() != "" {
            let _ = writeln!(out, "{}", line.trim_end());
            line = format!("{indent}{hang}");
        }
        line += word;
        line.push(' ');
    }
    if line.trim() != "" {
        let _ = writeln!(out, "{}", line.trim_end());
    }
}

/// Rows in columns, two blanks apart, two in.
#[must_use]
pub fn table(rows: &[Vec<String>]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |c: usize| rows.iter().filter_map(|r| r.get(c)).map(|s| s.chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let mut line = String::from("  ");
        for (cell, width) in row.iter().zip(&widths) {
            line += cell;
            line.extend(std::iter::repeat_n(' ', width - cell.chars().count() + 2));
        }
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_lines_break_at_blanks() {
        let mut out = String::new();
        wrapped(&mut out, "  ", &format!("- {}", "word ".repeat(40)));
        let rest = out.lines().skip(1).collect::<Vec<_>>();
        assert!(out.lines().all(|l| l.chars().count() <= 100));
        assert!(!rest.is_empty() && rest.iter().all(|l| l.starts_with("    word")));
    }

    #[test]
    fn columns_line_up() {
        let rows = [vec!["a".to_owned(), "b".to_owned()], vec!["long".to_owned(), "c".to_owned()]];
        assert_eq!(table(&rows), "  a     b\n  long  c\n");
    }
}
