//! What the three rules about nets share: which comparisons there are, and how differences read.

use super::context::Context;
use super::finding::{Finding, LayerRole, Outcome};
use crate::board::Source;
use crate::netlist::{Comparison, Spot};
use crate::query::{QueryPlace, Severity, words};

/// Differences that are written out; further ones stand in the list of places.
const WRITTEN: usize = 6;

/// Runs a look over every comparison there is; not run where there is none.
pub(super) fn each(context: &Context<'_>, look: impl Fn(&Comparison) -> Vec<Finding>) -> Outcome {
    let electrical = &context.facts.electrical;
    if electrical.comparisons.is_empty() {
        let why = match electrical.refused.first() {
            Some(refused) => refused.why.clone(),
            None => "no netlist in the data, and no net names on the copper".to_owned(),
        };
        return Outcome::not_run(why);
    }
    Outcome {
        looked_at: electrical.comparisons.iter().map(|c| u64::from(c.names)).sum(),
        findings: electrical.comparisons.iter().flat_map(look).collect(),
        not_run: None,
    }
}

/// The comparisons with netlist files come first; what they say is not said again of attributes.
pub(super) fn earlier<'a>(context: &'a Context<'_>, of: &'a Comparison) -> impl Iterator<Item = &'a Comparison> {
    context.facts.electrical.comparisons.iter().take_while(move |c| !std::ptr::eq(*c, of))
}

/// All differences of one kind in one comparison, as one finding.
pub(super) fn finding(
    severity: Severity,
    comparison: &Comparison,
    head: &str,
    sentences: &[String],
    places: Vec<QueryPlace>,
) -> Finding {
    let mut seen = format!("{head} {}", sentences.iter().take(WRITTEN).cloned().collect::<Vec<_>>().join(" "));
    if sentences.len() > WRITTEN {
        seen.push_str(&format!(" {} more stand in the list of places.", sentences.len() - WRITTEN));
    }
    let mut finding = Finding::without_limit(severity, LayerRole::Board, places)
        .reason(format!("{}.", comparison.fit.trim_end_matches('.')))
        .reason(format!(
            "Compared with {}: {} of {}.",
            comparison.statement,
            words::counted(comparison.points as usize, "point", "points"),
            words::counted(comparison.names as usize, "net", "nets")
        ));
    finding.seen = seen;
    finding
}

/// A place of a difference.
pub(super) fn place(spot: &Spot, nets: &[String]) -> QueryPlace {
    QueryPlace {
        at: spot.at,
        layer: spot.layer,
        measured: spot.measured,
        drawn: spot.measured,
        uncertainty: None,
        between: spot.between,
        run: None,
        nets: nets.to_vec(),
        holes: Vec::new(),
        sources: spot.sources.clone(),
    }
}

/// A place without copper.
pub(super) fn bare(at: landgap_parser::Point, net: &str, source: Source) -> QueryPlace {
    place(&Spot { at, sources: vec![source], ..Spot::default() }, &[net.to_owned()])
}
