//! The engineering-query form: one page that needs nothing else, prints on A4 and Letter, and is
//! legible in black and white.

mod appendix;
mod head;
mod query;

use std::collections::BTreeMap;
use std::fmt::Write;

pub use query::row;

use crate::print::junit::escape;
use crate::wire::Report;

/// Figures of a form, as SVG.
#[derive(Clone, Debug, Default)]
pub struct Figures {
    /// The board from the top and, where it has a second copper side, from the bottom.
    pub boards: Vec<String>,
    /// Details by query number.
    pub details: BTreeMap<u32, String>,
    /// The same places as they would be with the remedy we suggest, where it is geometric.
    pub proposed: BTreeMap<u32, String>,
}

/// The form as one HTML document.
#[must_use]
pub fn html(report: &Report, figures: &Figures) -> String {
    let mut out = String::from("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    out += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    let short: String = report.data.id.chars().skip("sha256:".len()).take(12).collect();
    let _ = writeln!(out, "<title>Engineering queries, data set {}</title>", escape(&short));
    let _ = writeln!(out, "<style>\n{}</style>\n</head>\n<body>", include_str!("form.css"));
    head::write(&mut out, report, figures);
    query::write_all(&mut out, report, figures);
    query::write_settled(&mut out, report);
    appendix::write(&mut out, report);
    out += "</body>\n</html>\n";
    out
}

/// A heading of the second level.
fn heading(out: &mut String, words: &str) {
    let _ = writeln!(out, "<h2>{}</h2>", escape(words));
}

/// A list, nothing where it is empty.
fn list(out: &mut String, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    out.push_str("<ul>\n");
    for line in lines {
        let _ = writeln!(out, "<li>{}</li>", escape(line));
    }
    out.push_str("</ul>\n");
}

/// A table; columns whose heading starts with `#` hold numbers.
fn table(out: &mut String, heads: &[&str], rows: &[Vec<String>]) {
    let class =
        |i: usize| if heads.get(i).is_some_and(|h| h.starts_with('#')) { " class=\"n\"" } else { " class=\"wide\"" };
    out.push_str("<table>\n<thead><tr>");
    for (i, head) in heads.iter().enumerate() {
        let _ = write!(out, "<th{}>{}</th>", class(i), escape(head.trim_start_matches('#')));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        out.push_str("<tr>");
        for (i, cell) in row.iter().enumerate() {
            let _ = write!(out, "<td{}>{}</td>", class(i), escape(cell));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody></table>\n");
}
