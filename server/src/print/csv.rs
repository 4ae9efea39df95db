//! One row a place, as RFC 4180 writes it.

use crate::print::matrix;
use crate::wire::Report;
use crate::wire::report::{Place, Query};
use crate::wire::um::Um;

const HEAD: &str = "capability,query,rule,severity,title,layers,place,x_um,y_um,measured_um,required_um,uncertainty_um,\
required_by,nets,file,line,fingerprint";

/// Every place of every query; a query without places gets one row.
#[must_use]
pub fn print(reports: &[Report]) -> String {
    let mut out = format!("{HEAD}\r\n");
    for report in reports {
        for query in &report.queries {
            let mut places = query.places.iter().enumerate().map(|(i, p)| (i + 1, Some(p))).collect::<Vec<_>>();
            if places.is_empty() {
                places.push((0, None));
            }
            for (number, place) in places {
                out += &row(matrix::name(report), query, number, place);
            }
        }
    }
    out
}

fn row(capability: &str, query: &Query, number: usize, place: Option<&Place>) -> String {
    let um = |v: Option<Um>| v.map_or_else(String::new, |u| u.to_string());
    let source = place.and_then(|p| p.sources.first());
    let cells = [
        text(capability),
        query.number.to_string(),
        text(&query.rule),
        text(&query.severity),
        text(&query.title),
        text(&place.and_then(|p| p.layer.clone()).unwrap_or_else(|| query.layers.join(" "))),
        if number > 0 { number.to_string() } else { String::new() },
        um(place.map(|p| p.x_um)),
        um(place.map(|p| p.y_um)),
        um(place.map_or(query.measured_um, |p| p.measured_um)),
        um(query.required_um),
        um(query.uncertainty_um),
        text(query.required_by.as_deref().unwrap_or_default()),
        text(&place.map_or_else(String::new, |p| p.nets.join(" / "))),
        text(source.map_or("", |s| &s.file)),
        source.and_then(|s| s.line).map_or_else(String::new, |l| l.to_string()),
        text(&query.fingerprint),
    ];
    cells.join(",") + "\r\n"
}

/// A text cell: quoted where it must be, and never taken for a formula by a spreadsheet.
fn text(cell: &str) -> String {
    let guard = if cell.starts_with(['=', '+', '-', '@', '\t']) { "'" } else { "" };
    let cell = format!("{guard}{cell}");
    if cell.contains(['"', ',', '\n', '\r']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
}

#[cfg(test)]
mod tests {
    use super::text;

    #[test]
    fn cells_are_quoted_and_no_formulas() {
        assert_eq!(text("a,b"), "\"a,b\"");
        assert_eq!(text("say \"x\""), "\"say \"\"x\"\"\"");
        assert_eq!(text("=1+1"), "'=1+1");
    }
}
