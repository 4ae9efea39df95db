//! Several capability profiles side by side: which of them builds this board without a query?

use std::collections::BTreeMap;
use std::fmt::Write;

use super::words;
use crate::wire::Report;

/// The name of a report's profile.
#[must_use]
pub fn name(report: &Report) -> &str {
    report.capability.as_ref().map_or("none", |c| &c.name)
}

/// The matrix as text: one column a profile, one row a rule that asks anywhere.
#[must_use]
pub fn text(reports: &[Report]) -> String {
    let mut rules: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for (column, report) in reports.iter().enumerate() {
        for query in &report.queries {
            let cells = rules.entry(&query.rule).or_insert_with(|| vec!["–".to_owned(); reports.len()]);
            cells[column] = format!("{} ({})", query.severity, query.count);
        }
    }
    let mut rows = vec![heading(reports)];
    rows.extend(rules.into_iter().map(|(rule, cells)| [vec![rule.to_owned()], cells].concat()));
    rows.push([vec!["all queries".to_owned()], reports.iter().map(|r| words::verdict(&r.verdict)).collect()].concat());
    let mut out = String::from("CAPABILITY PROFILES SIDE BY SIDE (places in brackets)\n");
    out += &super::text::table(&rows);
    let clear: Vec<&str> = reports.iter().filter(|r| r.verdict.stop + r.verdict.ask == 0).map(name).collect();
    let builds = if clear.is_empty() { "none of them".to_owned() } else { clear.join(", ") };
    let _ = writeln!(out, "  Nothing to answer with: {builds}\n");
    out
}

fn heading(reports: &[Report]) -> Vec<String> {
    let mut cells = vec![String::new()];
    cells.extend(reports.iter().map(|r| name(r).to_owned()));
    cells
}
