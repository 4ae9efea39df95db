//! `landgap compare`: two data sets of one part.

use std::path::PathBuf;
use std::slice;

use landgap_rules::check::{Measured, Told};
use landgap_rules::compare::{self, Became};

use super::args::{Compare, CompareFormat};
use super::output;
use super::progress::Shown;
use crate::engine::{self, Judged};
use crate::fault::{Kind, Outcome};
use crate::intake::{self, DataSet, Limits};
use crate::print::{compared as text, json::pretty};
use crate::profile;
use crate::terms::{self, TermsSent};
use crate::wire::compared::compared;

struct One {
    measured: Measured,
    judged: Judged,
}

/// Compares, prints, and gives the exit code.
pub fn run(asked: &Compare) -> Outcome<u8> {
    let capability = profile::capability(asked.capability.as_deref().unwrap_or(profile::USUAL))?;
    let order = match &asked.order {
        None => landgap_rules::capability::Order::default(),
        Some(path) => profile::order_text(&path.display().to_string(), &profile::read(path, Kind::BadOrder)?)?,
    };
    let accepted = match &asked.accepted {
        None => None,
        Some(path) => {
            let toml = profile::read(path, Kind::BadAgreement)?;
            Some(terms::Text { file: path.display().to_string(), toml })
        }
    };
    let terms = terms::of(&TermsSent { accepted, ..TermsSent::default() }, asked.on.as_deref())?;
    let limits = Limits::with(&asked.limit)?;
    let take = |path: &PathBuf| -> Outcome<One> {
        let set: DataSet = intake::from_paths(slice::from_ref(path), limits)?;
        let shown = Shown::new();
        let measured = engine::measure(&set, &Told::new(), &limits.reading, &|stage| {
            shown.stage(stage);
            Ok(())
        })?;
        drop(shown);
        let judged = engine::judge(&set, &measured, &capability, &order, &terms)?;
        Ok(One { measured, judged })
    };
    let (old, new) = (take(&asked.old)?, take(&asked.new)?);
    let comparison = engine::guarded("comparing", || {
        compare::compare(
            compare::Set { measured: &old.measured, verdict: &old.judged.verdict },
            compare::Set { measured: &new.measured, verdict: &new.judged.verdict },
        )
    })?;
    let rows = compared(&old.judged.report, &new.judged.report, &comparison);
    let printed = match asked.format {
        CompareFormat::Text => text::print(&rows),
        CompareFormat::Json => pretty(&rows)? + "\n",
    };
    output::write(&printed, asked.out.as_deref())?;
    Ok(code(asked, &old, &new, &comparison))
}

/// 4 a limit was reached; 2 no verdict; 1 something open at or above the threshold; else 0.
fn code(asked: &Compare, old: &One, new: &One, comparison: &compare::Comparison) -> u8 {
    let reports = [&old.judged.report, &new.judged.report];
    if reports.iter().any(|r| r.data.limit_reached()) {
        return Kind::TooLarge.row().exit;
    }
    if reports.iter().any(|r| !r.verdict_is_possible()) {
        return 2;
    }
    let open = |q: &compare::QueryChange| {
        let heavy = q.severity_new.is_some_and(|s| asked.fail_on.reached_by(s.word()));
        q.became != Became::Gone && !q.covered && heavy
    };
    u8::from(comparison.queries.iter().any(open))
}
