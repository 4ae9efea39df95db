//! Everything that was measured, one row a fact, nothing judged.

use landgap_rules::board::LayerRef;
use landgap_rules::check::Measured;
use landgap_rules::fact::Fact;
use serde::Serialize;

use super::assemble::{report, source};
use super::board::point;
use super::report::{Board, Data, Least, NotMeasured, Source, UmPoint};
use super::um::Um;
use crate::intake::DataSet;

/// The facts of a board.
#[derive(Clone, Debug, Serialize)]
pub struct FactSheet {
    landgap: String,
    report: u32,
    data: Data,
    board: Board,
    measured: Vec<Least>,
    not_measured: Vec<NotMeasured>,
    horizon_um: Um,
    net_names: Vec<String>,
    facts: Vec<Row>,
    assumptions: Vec<String>,
    doubts: Vec<DoubtRow>,
    cautions: Vec<String>,
}

/// One fact. `nets` are indices into `net_names`.
#[derive(Clone, Debug, Serialize)]
struct Row {
    fact: &'static str,
    layer: Option<String>,
    value_um: Um,
    uncertainty_um: Um,
    between_um: [UmPoint; 2],
    nets: Vec<u32>,
    length_um: Option<Um>,
    sources: Vec<Source>,
}

/// Something that could not be decided or does not fit together.
#[derive(Clone, Debug, Serialize)]
struct DoubtRow {
    rule: &'static str,
    seen: String,
    reasons: Vec<String>,
    readings: Vec<String>,
    sources: Vec<Source>,
}

impl FactSheet {
    /// Whether a limit kept a file or an entry from being read.
    #[must_use]
    pub fn limit_reached(&self) -> bool {
        self.data.limit_reached()
    }
}

/// The fact sheet of a measured set.
#[must_use]
pub fn sheet(set: &DataSet, measured: &Measured) -> FactSheet {
    let base = report(set, measured, None);
    let sources = |list: &[landgap_rules::board::Source]| list.iter().filter_map(|s| source(*s, measured)).collect();
    let doubt = |d: &landgap_rules::board::Doubt| DoubtRow {
        rule: d.rule,
        seen: d.seen.clone(),
        reasons: d.reasons.clone(),
        readings: d.readings.clone(),
        sources: sources(&d.sources),
    };
    FactSheet {
        landgap: base.landgap,
        report: base.report,
        data: base.data,
        board: base.board,
        measured: base.measured,
        not_measured: base.not_measured,
        horizon_um: Um(measured.facts.horizon),
        net_names: measured.facts.net_names.clone(),
        facts: measured.facts.facts.iter().map(|f| row(f, measured)).collect(),
        assumptions: base.assumptions,
        doubts: measured.board.doubts.iter().map(doubt).collect(),
        cautions: base.cautions,
    }
}

fn row(fact: &Fact, measured: &Measured) -> Row {
    Row {
        fact: fact.kind.word(),
        layer: fact.layer.map(LayerRef::name),
        value_um: Um(fact.value),
        uncertainty_um: Um(fact.uncertainty),
        between_um: [point(fact.from), point(fact.to)],
        nets: fact.nets.clone(),
        length_um: fact.length.map(Um),
        sources: fact.sources.iter().filter_map(|s| source(*s, measured)).collect(),
    }
}
