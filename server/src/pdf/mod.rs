//! The engineering-query form as a PDF: selectable words in an embedded font, figures as vectors, every
//! place of every query attached as a table.

mod figure;
mod flow;
mod font;
mod path;

use std::collections::BTreeMap;

use krilla::Document;
use krilla::embed::{AssociationKind, EmbeddedFile, MimeType};
use krilla::metadata::Metadata;

pub use flow::Paper;

use crate::fault::{Fault, Kind, Outcome};
use crate::form::Figures;
use crate::print::{csv, words};
use crate::wire::Report;
use crate::wire::report::{Place, Query};
use crate::wire::um::mm;
use figure::Figure;
use flow::Flow;
use font::Faces;

/// Places written out with a query; all of them are in the attached table.
const SHOWN: usize = 6;

/// Name of the attached table.
pub const ATTACHED: &str = "every-place.csv";

/// The form of a report.
pub fn form(report: &Report, figures: &Figures, paper: Paper) -> Outcome<Vec<u8>> {
    let faces = Faces::new()?;
    let svgs: Vec<&String> =
        figures.boards.iter().chain(figures.details.values()).chain(figures.proposed.values()).collect();
    let drawn: Vec<Figure<'_>> = svgs.into_iter().map(|s| Figure::new(s)).collect::<Outcome<_>>()?;
    let first = figures.boards.len();
    let details: BTreeMap<u32, usize> = (first..).zip(figures.details.keys()).map(|(i, n)| (*n, i)).collect();
    let behind = first + details.len();
    let proposed: BTreeMap<u32, usize> = (behind..).zip(figures.proposed.keys()).map(|(i, n)| (*n, i)).collect();
    let mut flow = Flow::new(&faces, &drawn, paper);
    title(&mut flow, report);
    for index in 0..first {
        flow.figure(index, flow.width(), 330.0);
    }
    flow.heading("Queries");
    if report.queries.is_empty() {
        flow.paragraph("No rule that ran found anything to ask.", 9.5, false, 0.0);
    }
    for query in &report.queries {
        block(&mut flow, query, details.get(&query.number).copied(), proposed.get(&query.number).copied());
    }
    settled(&mut flow, report);
    ending(&mut flow, report);
    let mut document = Document::new();
    flow.finish(&mut document, &foot(report))?;
    document.set_metadata(
        Metadata::new()
            .title(format!("Engineering queries, {}", foot(report)))
            .language("en".to_owned())
            .creator(format!("Landgap {}", report.landgap)),
    );
    let table = csv::print(std::slice::from_ref(report));
    let attached = EmbeddedFile {
        path: ATTACHED.to_owned(),
        mime_type: MimeType::new("text/csv"),
        description: Some("Every place of every query, with its values and coordinates".to_owned()),
        association_kind: AssociationKind::Data,
        data: table.into_bytes().into(),
        modification_date: None,
        compress: Some(true),
        location: None,
    };
    document.embed_file(attached);
    document
        .finish()
        .map_err(|e| Fault::new(Kind::CouldNotBeChecked, format!("The form cannot be written as PDF: {e:?}.")))
}

/// Part, revision and data set, for the foot of every page.
fn foot(report: &Report) -> String {
    let ordered = &report.ordered;
    let revision = ordered.revision.as_ref().map(|r| format!("revision {r}"));
    let short: String = report.data.id.chars().skip("sha256:".len()).take(12).collect();
    let parts = [ordered.customer.clone(), ordered.part.clone(), revision, Some(format!("data set {short}"))];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn title(flow: &mut Flow<'_>, report: &Report) {
    flow.paragraph("Engineering queries", 19.0, true, 0.0);
    flow.gap(4.0);
    flow.rule(1.4);
    let o = &report.ordered;
    let text = |v: &Option<String>| v.clone().unwrap_or_default();
    let part = match (&o.part, &o.revision) {
        (Some(part), Some(revision)) => format!("{part}, revision {revision}"),
        _ => text(&o.part),
    };
    flow.pair("Customer", &text(&o.customer));
    flow.pair("Part and revision", &part);
    flow.pair("Order or quotation", &text(&o.number));
    flow.pair("Contact", &text(&o.contact));
    flow.pair("Answer wanted by", &text(&o.answer_by));
    flow.pair("Data set", &report.data.id);
    flow.pair("Files", &words::count(report.data.files.len(), "file"));
    flow.pair("Board", &words::board_line(&report.board));
    flow.pair("Holes", &words::holes_line(&report.board));
    if let Some(thickness) = report.board.thickness_um {
        flow.pair("Thickness", &format!("{} mm", mm(thickness)));
    }
    if let Some(capability) = &report.capability {
        let hash: String = capability.sha256.chars().take(12).collect();
        flow.pair("Judged against", &format!("capability profile {} (sha256 {hash}…)", capability.name));
    }
    flow.pair("Queries", &format!("{} ({})", report.queries.len(), words::verdict(&report.verdict)));
    flow.pair("Made with", &format!("Landgap {}; lengths in mm, coordinates as in the data", report.landgap));
    if !report.verdict_is_possible() {
        flow.gap(4.0);
        flow.paragraph("No verdict is possible: no copper layer could be read from these data.", 10.0, true, 0.0);
    }
    flow.gap(6.0);
    for caution in &report.cautions {
        flow.paragraph(caution, 7.5, false, 0.0);
    }
    flow.gap(6.0);
}

/// One query with its answers. It begins on a page of its own where its head and picture would be parted.
fn block(flow: &mut Flow<'_>, query: &Query, detail: Option<usize>, proposed: Option<usize>) {
    let head = flow.height(&query.title, 11.0, true, 0.0) + flow.height(&query.what, 9.0, false, 0.0);
    flow.room(head + 60.0 + if detail.is_some() { 190.0 } else { 0.0 });
    flow.rule(1.2);
    flow.badge(&format!("{}: {}", query.severity, words::severity(&query.severity)), query.severity == "stop");
    flow.paragraph(&format!("{}. {}", query.number, query.title), 11.0, true, 0.0);
    flow.gap(2.0);
    flow.paragraph(&query.what, 9.0, false, 0.0);
    flow.paragraph(&format!("Why it matters: {}", query.why), 9.0, false, 0.0);
    flow.gap(2.0);
    flow.paragraph(&numbers(query), 8.0, false, 0.0);
    flow.gap(3.0);
    let pictures: Vec<usize> = [detail, proposed].into_iter().flatten().collect();
    if !pictures.is_empty() {
        flow.abreast(&pictures, 195.0);
    }
    if !query.places.is_empty() {
        let rows: Vec<Vec<String>> = query.places.iter().take(SHOWN).enumerate().map(|(i, p)| row(i, p)).collect();
        let head = ["No.", "layer", "x mm", "y mm", "measured mm", "nets", "from"];
        flow.table(&[0.06, 0.13, 0.12, 0.12, 0.13, 0.22, 0.22], &head, &rows);
        if query.places.len() > SHOWN {
            let text =
                format!("The worst {SHOWN} of {}; all of them are in the attached {ATTACHED}.", query.places.len());
            flow.paragraph(&text, 7.8, false, 0.0);
        }
    }
    flow.gap(3.0);
    for option in &query.options {
        let mark = if option.recommended { " (we suggest this)" } else { "" };
        flow.choice(&format!("{}: {}{mark}", option.key, option.text), &option.effect);
    }
    flow.choice("Another answer:", "");
    flow.blanks(&[""]);
    flow.choice("Holds for this part, not only for this order.", "");
    flow.choice("Holds for all our parts.", "");
    flow.choice("New data will follow.", "");
    flow.blanks(&["answered by, role", "signature", "date"]);
    flow.gap(6.0);
}

fn numbers(query: &Query) -> String {
    let mut parts = vec![words::layers(query), words::count(query.count as usize, "place")];
    let values = words::measured_required(query.measured_um, query.required_um);
    if !values.is_empty() {
        parts.push(format!("worst: {values}"));
    }
    if let (Some(m), Some(r)) = (query.measured_um, query.required_um) {
        parts.push(format!("{} mm missing", mm(crate::wire::Um(r.0 - m.0))));
    }
    parts.extend(query.required_by.as_ref().map(|by| format!("required by {by}")));
    let alike = words::surroundings(query);
    parts.extend(Some(alike.trim_end_matches('.').to_owned()).filter(|a| !a.is_empty()));
    format!("{}. Rule: {}.", parts.join("; "), query.rule)
}

fn row(index: usize, place: &Place) -> Vec<String> {
    crate::form::row(index, place)
}

fn settled(flow: &mut Flow<'_>, report: &Report) {
    let line = |q: &Query| {
        let by = q.settled_by.as_ref().map_or_else(String::new, words::settled_by);
        format!("{}. {} {by}", q.number, q.title)
    };
    if !report.covered.is_empty() {
        flow.heading(&format!("Accepted earlier ({})", report.covered.len()));
        report.covered.iter().for_each(|q| flow.paragraph(&line(q), 9.0, false, 0.0));
    }
    let fixed: Vec<&Query> = report.queries.iter().filter(|q| q.severity == "fix").collect();
    if !fixed.is_empty() {
        flow.heading("Change log");
        fixed.iter().for_each(|q| flow.paragraph(&line(q), 9.0, false, 0.0));
    }
}

fn ending(flow: &mut Flow<'_>, report: &Report) {
    if !report.assumptions.is_empty() {
        flow.heading("What was assumed");
        report.assumptions.iter().for_each(|a| flow.paragraph(a, 8.5, false, 0.0));
    }
    let not: Vec<String> =
        report.ran.iter().filter_map(|r| Some(format!("{}: {}", r.rule, r.not_run.as_ref()?))).collect();
    flow.heading("What could not run");
    if not.is_empty() {
        flow.paragraph("Every rule ran.", 8.5, false, 0.0);
    }
    not.iter().for_each(|n| flow.paragraph(n, 8.5, false, 0.0));
    flow.heading("Files");
    let rows: Vec<Vec<String>> = report
        .data
        .files
        .iter()
        .map(|f| vec![f.path.clone(), words::role(f), f.known_by.clone(), f.sha256.chars().take(12).collect()])
        .collect();
    flow.table(&[0.45, 0.25, 0.13, 0.17], &["file", "what it is", "known by", "sha256"], &rows);
}
