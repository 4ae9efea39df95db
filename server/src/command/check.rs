//! `landgap check` and `landgap facts`.

use std::path::{Path, PathBuf};

use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{Measured, Stage, Told};

use super::args::{Check, Facts, Format, How};
use super::output;
use super::progress::Shown;
use crate::engine::{self, Judged};
use crate::fault::{Kind, Outcome};
use crate::figures;
use crate::intake::{self, DataSet, Limits, told};
use crate::print::json::pretty;
use crate::profile;
use crate::terms::{self, TermsSent};
use crate::wire::Report;
use crate::wire::facts::sheet;

/// Checks, prints, and gives the exit code.
pub fn run(check: &Check) -> Outcome<u8> {
    let how = &check.how;
    output::expect_possible(how)?;
    let capabilities = capabilities(how)?;
    let order = order(how)?;
    let terms = terms::of(&terms_sent(how)?, how.on.as_deref())?;
    let limits = Limits::with(&how.limit)?;
    let set = intake::from_paths(&how.data, limits)?;
    let told = statements(how.told.as_deref(), &how.tell, &set)?;
    let shown = Shown::new();
    let measured = engine::measure(&set, &told, &limits.reading, &|stage| {
        shown.stage(stage);
        Ok(())
    })?;
    shown.stage(Stage::Ask);
    let judge = |c: &Capability| engine::judge(&set, &measured, c, &order, &terms);
    let judged: Vec<Judged> = capabilities.iter().map(judge).collect::<Outcome<_>>()?;
    drop(shown);
    let reports: Vec<Report> = judged.iter().map(|j| j.report.clone()).collect();
    let text = match output::printed(&reports, &capabilities, how)? {
        Some(text) => text,
        None => form(&measured, &capabilities, &judged, how)?,
    };
    output::finish(&text, &reports, how)
}

fn form(measured: &Measured, capabilities: &[Capability], judged: &[Judged], how: &How) -> Outcome<Vec<u8>> {
    let ([capability], [judged]) = (capabilities, judged) else { return Ok(Vec::new()) };
    match how.format {
        Format::Pdf => figures::pdf(measured, capability, judged, how.paper),
        _ => figures::form(measured, capability, judged).map(String::into_bytes),
    }
}

/// The profiles asked for; the usual one where none is.
pub fn capabilities(how: &How) -> Outcome<Vec<Capability>> {
    if how.capability.is_empty() {
        return Ok(vec![profile::capability_named(profile::USUAL)?]);
    }
    how.capability.iter().map(|c| profile::capability(c)).collect()
}

/// The order asked for.
pub fn order(how: &How) -> Outcome<Order> {
    match &how.order {
        None => Ok(Order::default()),
        Some(path) => profile::order_text(&path.display().to_string(), &profile::read(path, Kind::BadOrder)?),
    }
}

/// Wording, permissions and departures as their files have them.
pub fn terms_sent(how: &How) -> Outcome<TermsSent> {
    let text = |path: &Option<PathBuf>| -> Outcome<Option<terms::Text>> {
        let Some(path) = path else { return Ok(None) };
        let toml = profile::read(path, Kind::BadAgreement)?;
        Ok(Some(terms::Text { file: path.display().to_string(), toml }))
    };
    Ok(TermsSent {
        wording: how.wording.as_deref().map(terms::folder).transpose()?.unwrap_or_default(),
        permissions: text(&how.permissions)?,
        accepted: text(&how.accepted)?,
    })
}

/// What the user says about the set's files, as written; a flag outweighs the file.
pub fn sayings(path: Option<&Path>, flags: &[String]) -> Outcome<told::Sayings> {
    let mut all = match path {
        None => told::Sayings::new(),
        Some(path) => told::from_toml(&path.display().to_string(), &profile::read(path, Kind::BadTold)?)?,
    };
    all.extend(told::from_flags(flags)?);
    Ok(all)
}

fn statements(path: Option<&Path>, flags: &[String], set: &DataSet) -> Outcome<Told> {
    told::understand(&sayings(path, flags)?, &set.files)
}

/// Measures and prints the fact sheet.
pub fn facts(facts: &Facts) -> Outcome<u8> {
    let limits = Limits::with(&facts.limit)?;
    let set = intake::from_paths(&facts.data, limits)?;
    let told = statements(facts.told.as_deref(), &facts.tell, &set)?;
    let shown = Shown::new();
    let measured = engine::measure(&set, &told, &limits.reading, &|stage| {
        shown.stage(stage);
        Ok(())
    })?;
    drop(shown);
    let sheet = sheet(&set, &measured);
    output::write(&(pretty(&sheet)? + "\n"), facts.out.as_deref())?;
    Ok(match (sheet.limit_reached(), measured.board.copper.is_empty()) {
        (true, _) => Kind::TooLarge.row().exit,
        (false, true) => Kind::NothingReadable.row().exit,
        (false, false) => 0,
    })
}
