//! `landgap wording`: what a shop's own wording files start from.

use std::fs;
use std::path::Path;

use landgap_rules::query::wording::{ANSWERS, Wording as Words};
use landgap_rules::rule::registry;

use super::args::Wording;
use super::output;
use crate::fault::{Fault, Kind, Outcome};

/// Lists, shows or writes out.
pub fn run(wording: &Wording) -> Outcome<u8> {
    match (&wording.rule, &wording.out) {
        (Some(rule), _) => output::write(&own(rule)?, None)?,
        (None, Some(folder)) => write_all(folder)?,
        (None, None) => output::write(&(names().join("\n") + "\n"), None)?,
    }
    Ok(0)
}

fn names() -> Vec<&'static str> {
    registry().iter().map(|r| r.name).chain([ANSWERS]).collect()
}

fn own(rule: &str) -> Outcome<String> {
    Words::own(rule).ok_or_else(|| {
        Fault::new(Kind::Usage, format!("There is no rule {rule:?}. `landgap wording` alone lists all of them."))
    })
}

fn write_all(folder: &Path) -> Outcome<()> {
    let failed = |e: &std::io::Error| Fault::storage(format!("--out {}", folder.display()), e);
    fs::create_dir_all(folder).map_err(|e| failed(&e))?;
    for name in names() {
        let path = folder.join(format!("{name}.md"));
        if !path.exists() {
            fs::write(path, own(name)?).map_err(|e| failed(&e))?;
        }
    }
    Ok(())
}
