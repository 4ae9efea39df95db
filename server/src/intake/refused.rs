//! Entries of a set that were not taken in: named, kept with the set, and asked about.

use landgap_rules::board::Doubt;
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, TABLE};

/// Entries asked about one by one; the rest of a long list share a query.
const ONE_BY_ONE: usize = 20;

/// One entry that was not taken in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Refused {
    /// Path inside the set, fit to be shown.
    pub path: String,
    /// Kind of fault, by its identifier.
    pub code: String,
    /// Why.
    pub why: String,
}

impl Refused {
    /// An entry with the fault that refused it.
    #[must_use]
    pub fn new(path: impl Into<String>, fault: Fault) -> Self {
        Self { path: path.into(), code: fault.kind.row().slug.to_owned(), why: fault.detail }
    }

    /// The kind of fault; a name nobody knows counts as an entry refused.
    #[must_use]
    pub fn kind(&self) -> Kind {
        TABLE.iter().find(|r| r.slug == self.code).map_or(Kind::RefusedEntry, |r| r.kind)
    }

    /// The entry as one sentence without its end.
    #[must_use]
    pub fn words(&self) -> String {
        format!("{}: {}", self.path, self.why.trim_end_matches('.'))
    }
}

/// The fault of a set of which nothing was left to read; a limit goes before other reasons.
#[must_use]
pub fn fault(refused: &[Refused], seen: Vec<String>) -> Option<Fault> {
    let gravest = refused.iter().find(|r| r.kind() == Kind::TooLarge).or_else(|| refused.first())?;
    let mut words: Vec<String> = vec![gravest.words()];
    words.extend(refused.iter().filter(|r| *r != gravest).take(11).map(Refused::words));
    if refused.len() > words.len() {
        words.push(format!("and {} more", refused.len() - words.len()));
    }
    words.extend(seen);
    Some(Fault::new(gravest.kind(), format!("{}.", words.join("; "))))
}

/// What is asked about the entries that were not taken in.
#[must_use]
pub fn doubts(refused: &[Refused]) -> Vec<Doubt> {
    let (first, rest) = refused.split_at(refused.len().min(ONE_BY_ONE));
    let mut doubts: Vec<Doubt> = first
        .iter()
        .map(|r| {
            doubt(format!("{} was left out: {}", r.path, r.why.trim_end_matches('.')), vec![r.why.clone()], &r.path)
        })
        .collect();
    if let [one, ..] = rest {
        let seen = format!("{} more entries were left out, beginning with {}", rest.len(), one.path);
        let reasons = rest.iter().take(ONE_BY_ONE).map(Refused::words).collect();
        doubts.push(doubt(seen, reasons, "each of them"));
    }
    doubts
}

fn doubt(seen: String, reasons: Vec<String>, what: &str) -> Doubt {
    Doubt {
        rule: "unreadable-file",
        seen,
        reasons,
        sources: Vec::new(),
        places: Vec::new(),
        readings: vec![
            format!("{what} is sent again as a plain file of its own"),
            format!("{what} is not needed for the board"),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn some(count: usize) -> Vec<Refused> {
        let one = |i| Refused::new(format!("{i}.gbr"), Fault::new(Kind::RefusedEntry, "it is a link to another file"));
        (0..count).map(one).collect()
    }

    #[test]
    fn a_long_list_is_asked_about_in_few_queries_that_count_them_all() {
        assert_eq!(doubts(&some(3)).len(), 3);
        let many = doubts(&some(4000));
        assert_eq!(many.len(), ONE_BY_ONE + 1);
        assert!(many[ONE_BY_ONE].seen.starts_with("3980 more entries"));
    }

    #[test]
    fn a_limit_decides_the_fault() {
        let mut list = some(2);
        list.push(Refused::new("x.gbr", Fault::new(Kind::TooLarge, "the limit \"ratio\" is 400")));
        let fault = fault(&list, Vec::new()).unwrap();
        assert_eq!((fault.kind, fault.exit()), (Kind::TooLarge, 4));
        assert!(fault.detail.starts_with("x.gbr: the limit"));
    }
}
