//! All figures of one judged board, and the form made with them.

use landgap_rules::capability::Capability;
use landgap_rules::check::Measured;

use crate::engine::{Judged, guarded};
use crate::fault::Outcome;
use crate::figure::{Face, board, detail};
use crate::form::{self, Figures};

/// Draws every figure.
pub fn draw(measured: &Measured, capability: &Capability, judged: &Judged) -> Outcome<Figures> {
    guarded("drawing figures", || {
        let queries = &judged.verdict.queries;
        let detail = |q| detail::figure(measured, capability, q);
        Figures {
            boards: Face::BOTH.iter().map(|face| board::picture(measured, queries, *face)).collect(),
            details: queries.iter().filter_map(|q| Some((q.number, detail(q)?))).collect(),
        }
    })
}

/// The form of a judged board.
pub fn form(measured: &Measured, capability: &Capability, judged: &Judged) -> Outcome<String> {
    let figures = draw(measured, capability, judged)?;
    guarded("writing the form", || form::html(&judged.report, &figures))
}
