//! Several capability profiles side by side: which of them builds this board without a query?

use std::collections::BTreeMap;
use std::fmt::Write;

use landgap_rules::capability::{Capability, least_demanding};

use super::words;
use crate::wire::Report;

/// The name of a report's profile.
#[must_use]
pub fn name(report: &Report) -> &str {
    report.capability.as_ref().map_or("none", |c| &c.name)
}

/// The matrix as text: one column a profile, one row a rule that asks anywhere.
#[must_use]
pub fn text(reports: &[Report], capabilities: &[Capability]) -> String {
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
    let clear: Vec<&str> = reports.iter().filter(|r| is_clear(r)).map(name).collect();
    let builds = if clear.is_empty() { "none of them".to_owned() } else { clear.join(", ") };
    let _ = writeln!(out, "  Nothing to answer with: {builds}");
    if clear.len() > 1 {
        let least = least(reports, capabilities).unwrap_or("cannot be said: each of them is finer somewhere");
        let _ = writeln!(out, "  Least demanding of these: {least}");
    }
    out + "\n"
}

fn is_clear(report: &Report) -> bool {
    report.verdict.stop + report.verdict.ask == 0
}

/// The least demanding profile that leaves nothing to answer; `None` where none does or they cannot be ranked.
#[must_use]
pub fn least<'c>(reports: &[Report], capabilities: &'c [Capability]) -> Option<&'c str> {
    let clear: Vec<&Capability> =
        reports.iter().zip(capabilities).filter(|(r, _)| is_clear(r)).map(|(_, c)| c).collect();
    least_demanding(&clear).map(|c| c.name.as_str())
}

fn heading(reports: &[Report]) -> Vec<String> {
    let mut cells = vec![String::new()];
    cells.extend(reports.iter().map(|r| name(r).to_owned()));
    cells
}
