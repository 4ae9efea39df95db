//! Runs the check on one set, guarded: a panic on hostile data becomes a fault, never a clean result.

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};

use landgap_parser::Limits;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{self, Measured, Stage, Told};
use landgap_rules::query::Terms;

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::{DataSet, refused};
use crate::wire::Report;
use crate::wire::assemble::{Judgement, report};

/// Thrown through the rules to leave them between two stages.
#[derive(Debug)]
struct Left(Kind);

/// Called between stages; a kind of fault leaves the work.
pub type Watch<'a> = &'a dyn Fn(Stage) -> Result<(), Kind>;

/// Reads, places, recognises and measures; what was left out of the set is a doubt of the board.
pub fn measure(set: &DataSet, told: &Told, limits: &Limits, watch: Watch<'_>) -> Outcome<Measured> {
    guarded("measuring", || {
        let mut measured = check::measure(&set.files, told, limits, &|stage| {
            if let Err(kind) = watch(stage) {
                resume_unwind(Box::new(Left(kind)));
            }
        });
        measured.board.doubts.extend(refused::doubts(&set.refused));
        measured
    })
}

/// Judges and puts the report together.
pub fn judge(
    set: &DataSet,
    measured: &Measured,
    capability: &Capability,
    order: &Order,
    terms: &Terms,
) -> Outcome<Judged> {
    guarded("judging", || {
        let verdict = check::judge_under(measured, capability, order, terms);
        let report = report(set, measured, Some(&Judgement { judged: &verdict, capability, order }));
        Judged { verdict, report, order: order.clone() }
    })
}

/// A verdict and the report of it.
#[derive(Debug)]
pub struct Judged {
    /// The verdict with its geometry references.
    pub verdict: landgap_rules::query::Verdict,
    /// The report.
    pub report: Report,
    /// The order it was judged under.
    pub order: Order,
}

/// Runs `work`; a panic becomes a fault that says it is ours.
pub fn guarded<T>(doing: &str, work: impl FnOnce() -> T) -> Outcome<T> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|thrown| match thrown.downcast_ref::<Left>() {
        Some(Left(kind)) => Fault::new(*kind, format!("It was left while {doing}.")),
        None => Fault::new(Kind::CouldNotBeChecked, format!("The program failed while {doing}: {}.", words(&*thrown))),
    })
}

fn words(thrown: &(dyn std::any::Any + Send)) -> &str {
    let text = thrown.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| thrown.downcast_ref::<&str>().copied()).unwrap_or("no words were given")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_a_fault_and_leaving_keeps_its_kind() {
        let fault = guarded("testing", || {
            assert!(std::hint::black_box(false), "corner case");
        })
        .unwrap_err();
        assert!(fault.kind == Kind::CouldNotBeChecked && fault.detail.contains("corner case"));
        let fault = guarded::<()>("testing", || resume_unwind(Box::new(Left(Kind::Cancelled)))).unwrap_err();
        assert_eq!(fault.kind, Kind::Cancelled);
    }
}
