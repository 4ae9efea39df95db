//! The head of the form: what was checked, against what, and the board as understood.

use std::fmt::Write;

use super::{Figures, heading, list};
use crate::print::junit::escape;
use crate::print::words;
use crate::wire::Report;
use crate::wire::report::Ordered;
use crate::wire::um::mm;

/// Writes title, facts, assumptions and the pictures of the whole board.
pub fn write(out: &mut String, report: &Report, figures: &Figures) {
    out.push_str("<h1>Engineering queries</h1>\n");
    blanks(out, &report.ordered);
    facts(out, report);
    if !report.verdict_is_possible() {
        out.push_str(
            "<p><strong>No verdict is possible: no copper layer could be read from these data.</strong></p>\n",
        );
    }
    heading(out, "What was assumed");
    if report.assumptions.is_empty() {
        out.push_str("<p>Nothing had to be assumed.</p>\n");
    }
    list(out, &report.assumptions);
    heading(out, "Please note");
    list(out, &report.cautions);
    if !figures.boards.is_empty() {
        heading(out, "The board");
    }
    for board in &figures.boards {
        let _ = writeln!(out, "<figure>{board}</figure>");
    }
}

/// Whose board it is; what the order does not say is filled in by hand.
fn blanks(out: &mut String, ordered: &Ordered) {
    let part = match (&ordered.part, &ordered.revision) {
        (Some(part), Some(revision)) => Some(format!("{part}, revision {revision}")),
        (part, _) => part.clone(),
    };
    out.push_str("<dl>\n");
    for (label, value) in [
        ("Customer", ordered.customer.clone()),
        ("Part and revision", part),
        ("Order or quotation", ordered.number.clone()),
        ("Contact", ordered.contact.clone()),
        ("Answer wanted by", ordered.answer_by.clone()),
    ] {
        let _ = match value {
            Some(value) => writeln!(out, "<dt>{label}</dt><dd>{}</dd>", escape(&value)),
            None => writeln!(out, "<dt>{label}</dt><dd class=\"line\"></dd>"),
        };
    }
    out.push_str("</dl>\n");
}

fn facts(out: &mut String, report: &Report) {
    let board = &report.board;
    let mut rows = vec![
        ("Data set", report.data.id.clone()),
        ("Files", words::count(report.data.files.len(), "file")),
        ("Board", words::board_line(board)),
        ("Holes", words::holes_line(board)),
    ];
    if let Some(thickness) = board.thickness_um {
        rows.push(("Thickness", format!("{} mm", mm(thickness))));
    }
    for layer in &board.layers {
        rows.push(("Copper", format!("copper {} ({}): {:.1} mm²", layer.layer, layer.side, layer.copper_mm2)));
    }
    if let Some(capability) = &report.capability {
        let hash: String = capability.sha256.chars().take(12).collect();
        rows.push(("Judged against", format!("capability profile {} (sha256 {hash}…)", capability.name)));
    }
    rows.push(("Queries", format!("{} ({})", report.queries.len(), words::verdict(&report.verdict))));
    rows.push(("Made with", format!("Landgap {}", report.landgap)));
    heading(out, "What was checked");
    out.push_str("<dl>\n");
    for (label, value) in rows {
        let _ = writeln!(out, "<dt>{label}</dt><dd>{}</dd>", escape(&value));
    }
    out.push_str("</dl>\n");
}
