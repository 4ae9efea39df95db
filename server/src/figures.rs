//! All figures of one judged board, and the form made with them.

use landgap_rules::capability::Capability;
use landgap_rules::check::Measured;
use landgap_rules::propose::propose;

use crate::engine::{Judged, guarded};
use crate::fault::Outcome;
use crate::figure::{Face, board, detail, proposed};
use crate::form::{self, Figures};
use crate::pdf::{self, Paper};

/// Draws every figure.
pub fn draw(measured: &Measured, capability: &Capability, judged: &Judged) -> Outcome<Figures> {
    guarded("drawing figures", || {
        let queries = &judged.verdict.queries;
        let proposals = propose(measured, capability, &judged.order, queries);
        let detail = |q| detail::figure(measured, capability, q);
        Figures {
            boards: Face::BOTH.iter().map(|face| board::picture(measured, queries, *face)).collect(),
            proposed: proposals
                .iter()
                .filter_map(|(number, proposal)| {
                    let query = queries.iter().find(|q| q.number == *number)?;
                    Some((*number, proposed::figure(measured, capability, query, proposal)?))
                })
                .collect(),
            details: queries.iter().filter_map(|q| Some((q.number, detail(q)?))).collect(),
        }
    })
}

/// The form of a judged board.
pub fn form(measured: &Measured, capability: &Capability, judged: &Judged) -> Outcome<String> {
    let figures = draw(measured, capability, judged)?;
    guarded("writing the form", || form::html(&judged.report, &figures))
}

/// The same as a PDF.
pub fn pdf(measured: &Measured, capability: &Capability, judged: &Judged, paper: Paper) -> Outcome<Vec<u8>> {
    let figures = draw(measured, capability, judged)?;
    guarded("writing the form", || pdf::form(&judged.report, &figures, paper))?
}
