//! One block a query: what is seen, why it matters, where, and the answers to choose from.

use std::fmt::Write;

use super::{Figures, heading, list, table};
use crate::print::junit::escape;
use crate::print::words;
use crate::wire::Report;
use crate::wire::report::{Place, Query};

/// Places in a query's own block; the appendix has them all.
const SHOWN_PLACES: usize = 6;

/// Writes all queries in order.
pub fn write_all(out: &mut String, report: &Report, figures: &Figures) {
    heading(out, "Queries");
    if report.queries.is_empty() {
        out.push_str("<p>No rule that ran found anything to ask. See below for what ran and what could not run.</p>\n");
    }
    for query in &report.queries {
        write_one(out, query, figures.details.get(&query.number), figures.proposed.get(&query.number));
    }
}

/// Writes what was accepted before and what was done under permissions: nothing is hidden.
pub fn write_settled(out: &mut String, report: &Report) {
    let line = |q: &Query| {
        let by = q.settled_by.as_ref().map_or_else(String::new, words::settled_by);
        format!("{}. {} {by}", q.number, q.title)
    };
    let covered: Vec<String> = report.covered.iter().map(line).collect();
    if !covered.is_empty() {
        heading(out, &format!("Accepted earlier ({})", covered.len()));
        list(out, &covered);
    }
    let done: Vec<String> = report.queries.iter().filter(|q| q.severity == "fix").map(line).collect();
    if !done.is_empty() {
        heading(out, "Change log");
        list(out, &done);
    }
    let unused: Vec<String> = report.agreements.iter().filter(|a| !a.not.is_empty()).map(words::agreement).collect();
    if !unused.is_empty() {
        heading(out, "Agreements that do not settle everything");
        list(out, &unused);
    }
}

fn write_one(out: &mut String, query: &Query, figure: Option<&String>, proposed: Option<&String>) {
    let _ = writeln!(out, "<section class=\"query\" id=\"query-{}\">", query.number);
    out.push_str("<div class=\"keep\">\n");
    let _ = writeln!(
        out,
        "<h3><span class=\"number\">{}</span>{}<span class=\"severity {}\">{}: {}</span></h3>",
        query.number,
        escape(&query.title),
        escape(&query.severity),
        escape(&query.severity),
        words::severity(&query.severity)
    );
    let _ = writeln!(out, "<p>{}</p>\n<p><em>Why it matters:</em> {}</p>", escape(&query.what), escape(&query.why));
    limits(out, query);
    out.push_str("</div>\n");
    for svg in [figure, proposed].into_iter().flatten() {
        let _ = writeln!(out, "<figure class=\"detail\">{svg}</figure>");
    }
    if !query.places.is_empty() {
        table(
            out,
            HEADS,
            &query.places.iter().enumerate().take(SHOWN_PLACES).map(|(i, p)| row(i, p)).collect::<Vec<_>>(),
        );
        if query.places.len() > SHOWN_PLACES {
            let _ = writeln!(
                out,
                "<p>The worst {SHOWN_PLACES} of {}; all of them stand in the appendix.</p>",
                query.places.len()
            );
        }
    }
    answers(out, query);
    out.push_str("</section>\n");
}

fn limits(out: &mut String, query: &Query) {
    let numbers = words::measured_required(query.measured_um, query.required_um);
    let mut line = format!("{}; {}", words::layers(query), words::count(query.count as usize, "place"));
    if !numbers.is_empty() {
        line += &format!("; worst: {numbers}");
    }
    if let Some(by) = &query.required_by {
        line += &format!("; required by {by}");
    }
    let alike = words::surroundings(query);
    if !alike.is_empty() {
        line += &format!(". {}", alike.trim_end_matches('.'));
    }
    let _ = writeln!(out, "<p><small>{}. Rule: {}.</small></p>", escape(&line), escape(&query.rule));
}

/// Heads of a table of places.
pub const HEADS: &[&str] = &["#No.", "layer", "#x mm", "#y mm", "#measured mm", "nets", "from"];

/// One place as a row of such a table.
pub fn row(index: usize, place: &Place) -> Vec<String> {
    let mm = crate::wire::um::mm;
    vec![
        (index + 1).to_string(),
        place.layer.clone().unwrap_or_else(|| "–".to_owned()),
        mm(place.x_um),
        mm(place.y_um),
        place.measured_um.map_or_else(|| "–".to_owned(), mm),
        place.nets.join(" / "),
        place.sources.first().map_or_else(String::new, words::source),
    ]
}

fn answers(out: &mut String, query: &Query) {
    out.push_str("<div class=\"keep\">\n");
    for option in &query.options {
        let mark = if option.recommended { " <small>(we suggest this)</small>" } else { "" };
        let _ = writeln!(
            out,
            "<div class=\"option\"><span class=\"box\"></span><span><strong>{}</strong> {}{mark} <small>{}</small></span></div>",
            escape(&option.key),
            escape(&option.text),
            escape(&option.effect)
        );
    }
    out.push_str("<div class=\"option\"><span class=\"box\"></span><span>Another answer:</span></div>\n<div class=\"line\"></div>\n");
    out.push_str("<p><small>Holds for: <span class=\"box\"></span> this order <span class=\"box\"></span> this part <span class=\"box\"></span> all our parts. New data will follow: <span class=\"box\"></span> yes <span class=\"box\"></span> no</small></p>\n");
    out.push_str(
        "<div class=\"sign\"><span>answered by, role</span><span>signature</span><span>date</span></div>\n</div>\n",
    );
}
