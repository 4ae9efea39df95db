//! Checks a profile itself: levels in order, tables monotone, a unit and a source for every number.

use super::Capability;
use super::entry::{Entry, EntryValue, trimmed_um};
use super::table::{ByColour, ByCopper, Levels};

/// Something in a profile that cannot be meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LintRemark {
    /// The file that set the value.
    pub file: String,
    /// Its line there, from 1.
    pub line: u32,
    /// The key.
    pub key: String,
    /// What is wrong and what to do.
    pub text: String,
}

const UNSOURCED: &str = "the overlay sets a number without a source of its own; add source = \"…\" beside it, \
or \"common practice, no source\"";

impl Capability {
    /// Checks the profile; empty when all is well.
    #[must_use]
    pub fn lint(&self) -> Vec<LintRemark> {
        let mut found: Vec<(String, String)> = Vec::new();
        for entry in self.entries() {
            found.extend(entry_faults(&entry).into_iter().map(|text| (entry.key.clone(), text)));
        }
        for (key, table) in self.copper_tables() {
            found.extend(copper_faults(key, table));
        }
        for (key, table) in self.colour_tables() {
            found.extend(colour_faults(key, table));
        }
        found.extend(self.tool_faults());
        let mut unsourced = self.unsourced.clone();
        unsourced.dedup();
        found.extend(unsourced.into_iter().map(|key| (key, UNSOURCED.to_owned())));
        let mut remarks: Vec<LintRemark> = found.into_iter().map(|(key, text)| self.remark(key, text)).collect();
        remarks.sort_by(|a, b| (&a.file, a.line, &a.key, &a.text).cmp(&(&b.file, b.line, &b.key, &b.text)));
        remarks
    }

    fn remark(&self, key: String, text: String) -> LintRemark {
        let set = self.set_by(&key);
        LintRemark { file: set.file, line: set.line, key, text }
    }

    fn tool_faults(&self) -> Option<(String, String)> {
        let step = self.values.tool.step.value;
        (step == 0)
            .then(|| ("tool.step".to_owned(), "the step between tools is 0; give the step of the tool set".to_owned()))
    }
}

fn entry_faults(entry: &Entry) -> Vec<String> {
    let mut faults = Vec::new();
    let unit = match entry.value {
        EntryValue::Most(..) | EntryValue::Share(_) => "1",
        _ => "um",
    };
    match entry.unit.as_deref() {
        None => faults.push(format!("no unit; add unit = \"{unit}\"")),
        Some(given) if given != unit => faults.push(format!("the unit is \"{given}\", expected \"{unit}\"")),
        Some(_) => {}
    }
    if entry.source.as_deref().is_none_or(|s| s.trim().is_empty()) {
        faults.push("no source; say where the number comes from, or \"common practice, no source\"".to_owned());
    }
    faults.extend(level_fault(entry.value));
    faults
}

fn level_fault(value: EntryValue) -> Option<String> {
    match value {
        EntryValue::Least(l) if !(l.preferred >= l.minimum && l.minimum >= l.special) => {
            Some("the levels are out of order; expected preferred ≥ minimum ≥ special".to_owned())
        }
        EntryValue::Most(p, m, s) if !(p <= m && m <= s && p > 0) => {
            Some("the levels are out of order; expected 0 < preferred ≤ maximum ≤ special".to_owned())
        }
        _ => None,
    }
}

fn finer(thin: Levels, thick: Levels) -> bool {
    thick.preferred < thin.preferred || thick.minimum < thin.minimum || thick.special < thin.special
}

fn copper_faults(key: &str, table: &ByCopper) -> Vec<(String, String)> {
    let mut faults = Vec::new();
    for pair in table.rows.windows(2) {
        let (thin, thick) = (trimmed_um(pair[0].copper), trimmed_um(pair[1].copper));
        if pair[1].copper <= pair[0].copper {
            faults.push((
                format!("{key}.{thick}"),
                format!("rows must go from thin to thick copper, but {thick} um follows {thin} um"),
            ));
        } else if finer(pair[0].levels(), pair[1].levels()) {
            let text =
                format!("{thick} um copper has a finer limit than {thin} um copper; thicker copper is never finer");
            faults.push((format!("{key}.{thick}"), text));
        }
    }
    faults
}

fn colour_faults(key: &str, table: &ByColour) -> Vec<(String, String)> {
    let pairs = [("other", table.green, table.other), ("black_white", table.other, table.black_white)];
    pairs
        .into_iter()
        .filter(|(_, easy, hard)| finer(*easy, *hard))
        .map(|(colour, ..)| {
            (
                format!("{key}.{colour}"),
                "the limit is finer than that of an easier colour; expected green ≤ other ≤ black_white".to_owned(),
            )
        })
        .collect()
}
