//! The form as a spreadsheet: the same numbers, and columns to answer in that can be read back.

use rust_xlsxwriter::{
    DataValidation, DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};

use super::words;
use crate::fault::{Fault, Kind, Outcome};
use crate::wire::Report;
use crate::wire::report::Query;
use crate::wire::um::{Um, mm};

/// Name of the sheet that is answered in.
pub const SHEET: &str = "Queries";

/// Heads of its columns; the answer columns are those from [`ANSWER`] to [`LAST`].
pub const HEADS: [&str; 20] = [
    "No.",
    "severity",
    "rule",
    "title",
    "what we see",
    "why it matters",
    "layers",
    "measured mm",
    "required mm",
    "uncertainty µm",
    "required by",
    "places",
    "answers to choose from",
    "we suggest",
    ANSWER,
    "answer in own words",
    "holds for",
    "answered by, role",
    "date",
    LAST,
];

/// Head of the column that takes the letter of an answer.
pub const ANSWER: &str = "your answer";

/// Head of the column that names the query whatever its number.
pub const LAST: &str = "fingerprint";

/// What an answer may hold for.
pub const HOLDS: [&str; 3] = ["this order", "this part", "all our parts"];

/// The spreadsheet of a report.
pub fn print(report: &Report) -> Outcome<Vec<u8>> {
    book(report).map_err(|e| Fault::new(Kind::CouldNotBeChecked, format!("The spreadsheet cannot be written: {e}.")))
}

struct Styles {
    head: Format,
    text: Format,
    number: Format,
    answer: Format,
}

impl Styles {
    fn new() -> Self {
        let cell = || Format::new().set_align(FormatAlign::Top).set_border(FormatBorder::Hair);
        Self {
            head: Format::new().set_bold().set_text_wrap().set_border_bottom(FormatBorder::Medium),
            text: cell().set_text_wrap(),
            number: cell().set_num_format("0.000"),
            answer: cell().set_text_wrap().set_border(FormatBorder::Medium).set_unlocked().set_num_format("@"),
        }
    }
}

fn book(report: &Report) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // The same report gives the same bytes: no clock is asked.
    let made = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title("Engineering queries").set_creation_datetime(&made));
    let styles = Styles::new();
    queries(book.add_worksheet(), report, &styles)?;
    head(book.add_worksheet(), report, &styles)?;
    places(book.add_worksheet(), report, &styles)?;
    agreed(book.add_worksheet(), report, &styles)?;
    book.save_to_buffer()
}

fn heads(sheet: &mut Worksheet, heads: &[&str], styles: &Styles) -> Result<(), XlsxError> {
    for (column, head) in (0u16..).zip(heads) {
        sheet.write_string_with_format(0, column, *head, &styles.head)?;
    }
    sheet.set_freeze_panes(1, 0)?;
    sheet.set_repeat_rows(0, 0)?;
    sheet.set_landscape().set_paper_size(9).set_print_fit_to_pages(1, 0);
    Ok(())
}

fn queries(sheet: &mut Worksheet, report: &Report, styles: &Styles) -> Result<(), XlsxError> {
    sheet.set_name(SHEET)?;
    heads(sheet, &HEADS, styles)?;
    let widths = [5, 8, 16, 34, 40, 34, 14, 11, 11, 11, 26, 7, 60, 9, 11, 34, 13, 22, 12, 34];
    for (column, width) in (0u16..).zip(widths) {
        sheet.set_column_width(column, width)?;
    }
    for (row, query) in (1u32..).zip(&report.queries) {
        line(sheet, row, query, styles)?;
    }
    // What is asked is fixed, what is answered is free; no password, so that nobody is locked out.
    sheet.protect();
    Ok(())
}

fn line(sheet: &mut Worksheet, row: u32, query: &Query, styles: &Styles) -> Result<(), XlsxError> {
    let options: Vec<String> = query.options.iter().map(|o| format!("{}: {} {}", o.key, o.text, o.effect)).collect();
    let suggested = query.options.iter().find(|o| o.recommended).map_or("", |o| o.key.as_str());
    let texts: [(u16, &str); 10] = [
        (1, &query.severity),
        (2, &query.rule),
        (3, &query.title),
        (4, &query.what),
        (5, &query.why),
        (6, &words::layers(query)),
        (10, query.required_by.as_deref().unwrap_or_default()),
        (12, &options.join("\n")),
        (13, suggested),
        (19, &query.fingerprint),
    ];
    for (column, text) in texts {
        sheet.write_string_with_format(row, column, cut(text), &styles.text)?;
    }
    sheet.write_number_with_format(row, 0, query.number, &styles.text)?;
    sheet.write_number_with_format(row, 11, query.count, &styles.text)?;
    for (column, value, unit) in
        [(7, query.measured_um, 1e6), (8, query.required_um, 1e6), (9, query.uncertainty_um, 1e3)]
    {
        match value {
            Some(Um(nm)) => sheet.write_number_with_format(row, column, nm as f64 / unit, &styles.number)?,
            None => sheet.write_blank(row, column, &styles.number)?,
        };
    }
    for column in 14..19 {
        sheet.write_blank(row, column, &styles.answer)?;
    }
    let keys: Vec<&str> = query.options.iter().map(|o| o.key.as_str()).collect();
    sheet.add_data_validation(row, 14, row, 14, &DataValidation::new().allow_list_strings(&keys)?)?;
    sheet.add_data_validation(row, 16, row, 16, &DataValidation::new().allow_list_strings(&HOLDS)?)?;
    Ok(())
}

/// A cell holds 32767 characters at most.
fn cut(text: &str) -> String {
    const MOST: usize = 32_000;
    if text.len() <= MOST {
        text.to_owned()
    } else {
        format!("{} …", text.chars().take(MOST / 4).collect::<String>())
    }
}

fn head(sheet: &mut Worksheet, report: &Report, styles: &Styles) -> Result<(), XlsxError> {
    sheet.set_name("Head")?;
    sheet.set_column_width(0, 24)?;
    sheet.set_column_width(1, 100)?;
    let o = &report.ordered;
    let text = |v: &Option<String>| v.clone().unwrap_or_default();
    let capability =
        report.capability.as_ref().map_or_else(String::new, |c| format!("{} (sha256 {})", c.name, c.sha256));
    let mut rows = vec![
        ("Customer", text(&o.customer)),
        ("Part", text(&o.part)),
        ("Revision", text(&o.revision)),
        ("Order or quotation", text(&o.number)),
        ("Contact", text(&o.contact)),
        ("Answer wanted by", text(&o.answer_by)),
        ("Data set", report.data.id.clone()),
        ("Board", words::board_line(&report.board)),
        ("Holes", words::holes_line(&report.board)),
        ("Capability profile", capability),
        ("Queries", words::verdict(&report.verdict)),
        ("Made with", format!("Landgap {}", report.landgap)),
    ];
    rows.extend(report.cautions.iter().map(|c| ("Please note", c.clone())));
    rows.extend(report.assumptions.iter().map(|a| ("Assumed", a.clone())));
    rows.extend(
        report.ran.iter().filter_map(|r| Some(("Could not run", format!("{}: {}", r.rule, r.not_run.as_ref()?)))),
    );
    for (row, (label, value)) in (0u32..).zip(rows) {
        sheet.write_string_with_format(row, 0, label, &styles.head)?;
        sheet.write_string_with_format(row, 1, cut(&value), &styles.text)?;
    }
    Ok(())
}

fn places(sheet: &mut Worksheet, report: &Report, styles: &Styles) -> Result<(), XlsxError> {
    const ROWS: u32 = 1_048_575;
    sheet.set_name("Places")?;
    let names = ["No.", "place", "layer", "x mm", "y mm", "measured mm", "drawn mm", "nets", "file", "line"];
    heads(sheet, &names, styles)?;
    let all = report.queries.iter().chain(&report.covered);
    let rows = all.flat_map(|q| (1u32..).zip(&q.places).map(move |(n, p)| (q.number, n, p)));
    for (row, (query, number, place)) in (1..=ROWS).zip(rows) {
        sheet.write_number(row, 0, query)?;
        sheet.write_number(row, 1, number)?;
        sheet.write_string(row, 2, place.layer.as_deref().unwrap_or_default())?;
        let values = [Some(place.x_um), Some(place.y_um), place.measured_um, place.drawn_um];
        for (column, value) in (3u16..).zip(values) {
            if let Some(Um(nm)) = value {
                sheet.write_number(row, column, nm as f64 / 1e6)?;
            }
        }
        sheet.write_string(row, 7, cut(&place.nets.join(" / ")))?;
        if let Some(source) = place.sources.first() {
            sheet.write_string(row, 8, cut(&source.file))?;
            if let Some(line) = source.line {
                sheet.write_number(row, 9, line)?;
            }
        }
    }
    Ok(())
}

/// The sheet that goes with the traveller: what was accepted, what is done under permissions.
fn agreed(sheet: &mut Worksheet, report: &Report, styles: &Styles) -> Result<(), XlsxError> {
    sheet.set_name("Agreed")?;
    let names = [
        "No.",
        "kind",
        "agreement",
        "title",
        "what was agreed",
        "down to mm",
        "by",
        "on",
        "until",
        "picture",
        "places",
    ];
    heads(sheet, &names, styles)?;
    let settled = report.covered.iter().chain(report.queries.iter().filter(|q| q.severity == "fix"));
    let rows = settled.filter_map(|q| Some((q, q.settled_by.as_ref()?)));
    for (row, (query, by)) in (1u32..).zip(rows) {
        sheet.write_number_with_format(row, 0, query.number, &styles.text)?;
        let floor = by.floor_um.map_or_else(String::new, mm);
        let texts = [
            (1, by.kind.as_str()),
            (2, &by.id),
            (3, &query.title),
            (4, &by.text),
            (5, &floor),
            (6, &by.by),
            (7, &by.on),
            (8, by.until.as_deref().unwrap_or_default()),
            (9, by.picture.as_deref().unwrap_or_default()),
        ];
        for (column, text) in texts {
            sheet.write_string_with_format(row, column, cut(text), &styles.text)?;
        }
        sheet.write_number_with_format(row, 10, query.count, &styles.text)?;
    }
    Ok(())
}
