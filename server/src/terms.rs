//! Wording, permissions and accepted departures: from files and requests to what the rules take.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use landgap_rules::query::Terms;
use landgap_rules::query::agreed::{Agreed, Day, parse_departures, parse_permissions};
use landgap_rules::query::wording::Wording;
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};
use crate::profile;

/// The text of a file, with the name faults are told under.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Text {
    /// Its name.
    #[serde(default)]
    pub file: String,
    /// Its text.
    pub toml: String,
}

/// What was sent along with a check.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TermsSent {
    /// Wording files by name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub wording: BTreeMap<String, String>,
    /// Standing permissions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub permissions: Option<Text>,
    /// Accepted departures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accepted: Option<Text>,
}

/// Understands what was sent; `on` is the day agreements are held against, today where it is `None`.
pub fn of(sent: &TermsSent, on: Option<&str>) -> Outcome<Terms> {
    let bad = |e: landgap_rules::capability::FileError| Fault::new(Kind::BadAgreement, e.to_string());
    let files: Vec<(String, String)> = sent.wording.iter().map(|(n, t)| (n.clone(), t.clone())).collect();
    let wording = Wording::read(&files).map_err(|e| Fault::new(Kind::BadWording, e.to_string()))?;
    let today = match on {
        None => today(),
        Some(text) => Day::parse(text)
            .ok_or_else(|| Fault::new(Kind::Usage, format!("--on {text}: expected a day such as 2026-03-31.")))?,
    };
    let permissions = sent.permissions.as_ref().map(|t| parse_permissions(shown(t, "permissions"), &t.toml));
    let departures = sent.accepted.as_ref().map(|t| parse_departures(shown(t, "accepted"), &t.toml));
    Ok(Terms {
        wording,
        agreed: Agreed {
            permissions: permissions.transpose().map_err(bad)?.unwrap_or_default(),
            departures: departures.transpose().map_err(bad)?.unwrap_or_default(),
            today: Some(today),
        },
    })
}

fn shown<'a>(text: &'a Text, otherwise: &'a str) -> &'a str {
    if text.file.is_empty() { otherwise } else { &text.file }
}

/// The day by the machine's clock, in UTC.
#[must_use]
pub fn today() -> Day {
    let now = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs());
    Day::of_unix(now as i64)
}

/// Every `.md` file of a folder of wording.
pub fn folder(path: &Path) -> Outcome<BTreeMap<String, String>> {
    let fault = |e: std::io::Error| Fault::new(Kind::BadWording, format!("{}: {e}.", path.display()));
    let mut files = BTreeMap::new();
    for entry in fs::read_dir(path).map_err(fault)? {
        let file = entry.map_err(fault)?.path();
        if file.extension().is_some_and(|e| e == "md") {
            files.insert(file.display().to_string(), profile::read(&file, Kind::BadWording)?);
        }
    }
    if files.is_empty() {
        return Err(Fault::new(Kind::BadWording, format!("{} holds no wording file (RULE.md).", path.display())));
    }
    Ok(files)
}
