//! A comparison of two data sets as other programs read it.

use landgap_rules::compare::{Comparison, HoleChanged, NetChanged, Presence};
use serde::Serialize;

use super::board::point;
use super::report::{CapabilityName, UmPoint, Verdict};
use super::um::Um;
use super::{Report, VERSION};

/// Version of this layout.
pub const COMPARISON_VERSION: u32 = 1;

/// JSON schema of a comparison.
pub const COMPARISON_SCHEMA: &str = include_str!("../../schema/comparison.schema.json");

/// Regions written out for one layer; the rest are counted.
const WRITTEN: usize = 2000;

/// Everything a comparison comes to.
#[derive(Clone, Debug, Serialize)]
pub struct Compared {
    /// Version of the program.
    pub landgap: String,
    /// Version of this layout.
    pub comparison: u32,
    /// The old set.
    pub old: Set,
    /// The new set.
    pub new: Set,
    /// What both were judged against.
    pub capability: Option<CapabilityName>,
    /// What is added to the old set's coordinates to lay it over the new one.
    pub shift_um: UmPoint,
    /// Holes and lands of the old set that then meet one of the new set, and how many it has.
    pub met: [u32; 2],
    /// What became of each query.
    pub queries: Vec<QueryRow>,
    /// Files by what happened to them.
    pub files: Files,
    /// Layers that changed.
    pub layers: Vec<LayerRow>,
    /// Layers without a difference.
    pub unchanged: Vec<String>,
    /// Holes that changed.
    pub holes: Vec<HoleRow>,
    /// Nets split and joined.
    pub nets: Vec<NetRow>,
    /// Changes that lie near nothing that was asked about.
    pub unasked: u32,
    /// What the reader must bear in mind.
    pub cautions: Vec<String>,
}

/// One of the two sets.
#[derive(Clone, Debug, Serialize)]
pub struct Set {
    /// Its identity.
    pub id: String,
    /// Its counts.
    pub verdict: Verdict,
}

/// Paths of files.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Files {
    /// In the new set alone.
    pub added: Vec<String>,
    /// In the old set alone.
    pub removed: Vec<String>,
    /// In both, with other bytes.
    pub changed: Vec<String>,
}

/// What became of one query.
#[derive(Clone, Debug, Serialize)]
pub struct QueryRow {
    /// `worse`, `new`, `still there`, `better` or `gone`.
    pub became: String,
    /// The rule.
    pub rule: String,
    /// The title.
    pub title: String,
    /// Its number in the old set.
    pub old: Option<u32>,
    /// Its numbers in the new set.
    pub new: Vec<u32>,
    /// How much it weighed.
    pub severity_old: Option<String>,
    /// How much it weighs.
    pub severity_new: Option<String>,
    /// Whether an accepted departure covers it now.
    pub covered: bool,
    /// The worst value as it was.
    pub measured_old_um: Option<Um>,
    /// The worst value as it is.
    pub measured_new_um: Option<Um>,
    /// Places gone.
    pub places_gone: u32,
    /// Places still there.
    pub places_kept: u32,
    /// New places.
    pub places_new: u32,
    /// The worst place.
    pub at_um: Option<UmPoint>,
}

/// A layer that changed.
#[derive(Clone, Debug, Serialize)]
pub struct LayerRow {
    /// Its name.
    pub layer: String,
    /// `both`, `old` or `new`: which of the sets has it.
    pub present: String,
    /// Whether something was asked that its coming or going answers.
    pub asked: bool,
    /// How many regions changed.
    pub count: u32,
    /// Where, largest first.
    pub regions: Vec<RegionRow>,
}

/// A region that changed.
#[derive(Clone, Debug, Serialize)]
pub struct RegionRow {
    /// Lower left and upper right corner of the box round it.
    pub box_um: [UmPoint; 2],
    /// What came.
    pub added_mm2: f64,
    /// What went.
    pub removed_mm2: f64,
    /// Whether it lies near a place that was asked about.
    pub asked: bool,
}

/// A hole that changed.
#[derive(Clone, Debug, Serialize)]
pub struct HoleRow {
    /// `added`, `removed`, `moved`, `resized`, `replated`, `reshaped` or `respanned`.
    pub changed: String,
    /// Where.
    pub at_um: UmPoint,
    /// Its finished size.
    pub finished_um: Option<Um>,
    /// Its plating.
    pub plating: String,
    /// What it was before, in words.
    pub before: Option<String>,
    /// Whether it lies near a place that was asked about.
    pub asked: bool,
}

/// A net split, or nets joined.
#[derive(Clone, Debug, Serialize)]
pub struct NetRow {
    /// `split` or `joined`.
    pub changed: String,
    /// The one net.
    pub whole: String,
    /// The parts.
    pub parts: Vec<String>,
    /// A land of each part.
    pub at_um: Vec<UmPoint>,
    /// Whether one of these lies near a place that was asked about.
    pub asked: bool,
}

/// A comparison in the layout of the wire.
#[must_use]
pub fn compared(old: &Report, new: &Report, c: &Comparison) -> Compared {
    Compared {
        landgap: VERSION.to_owned(),
        comparison: COMPARISON_VERSION,
        old: Set { id: old.data.id.clone(), verdict: old.verdict },
        new: Set { id: new.data.id.clone(), verdict: new.verdict },
        capability: new.capability.clone(),
        shift_um: point(c.shift.by),
        met: [c.shift.met, c.shift.of],
        queries: c.queries.iter().map(query).collect(),
        files: files(old, new),
        layers: c.layers.iter().map(layer).collect(),
        unchanged: c.unchanged.clone(),
        holes: c.holes.iter().map(hole).collect(),
        nets: c.nets.iter().map(net).collect(),
        unasked: c.unasked() as u32,
        cautions: new.cautions.clone(),
    }
}

fn query(q: &landgap_rules::compare::QueryChange) -> QueryRow {
    QueryRow {
        became: q.became.word().to_owned(),
        rule: q.rule.to_owned(),
        title: q.title.clone(),
        old: q.old,
        new: q.new.clone(),
        severity_old: q.severity_old.map(|s| s.word().to_owned()),
        severity_new: q.severity_new.map(|s| s.word().to_owned()),
        covered: q.covered,
        measured_old_um: q.measured_old.map(Um),
        measured_new_um: q.measured_new.map(Um),
        places_gone: q.places_gone,
        places_kept: q.places_kept,
        places_new: q.places_new,
        at_um: q.at.map(point),
    }
}

fn files(old: &Report, new: &Report) -> Files {
    let find = |set: &Report, path: &str| set.data.files.iter().find(|f| f.path == path).map(|f| f.sha256.clone());
    let mut out = Files::default();
    for file in &new.data.files {
        match find(old, &file.path) {
            None => out.added.push(file.path.clone()),
            Some(hash) if hash != file.sha256 => out.changed.push(file.path.clone()),
            Some(_) => {}
        }
    }
    out.removed = old.data.files.iter().filter(|f| find(new, &f.path).is_none()).map(|f| f.path.clone()).collect();
    out
}

fn layer(l: &landgap_rules::compare::LayerChange) -> LayerRow {
    let row = |r: &landgap_rules::compare::Region| RegionRow {
        box_um: [point(r.bounds.min), point(r.bounds.max)],
        added_mm2: area(r.added_mm2),
        removed_mm2: area(r.removed_mm2),
        asked: r.asked,
    };
    let present = match l.presence {
        Presence::Both => "both",
        Presence::OnlyOld => "old",
        Presence::OnlyNew => "new",
    };
    LayerRow {
        layer: l.name.clone(),
        present: present.to_owned(),
        asked: l.asked || (!l.regions.is_empty() && l.regions.iter().all(|r| r.asked)),
        count: l.regions.len() as u32,
        regions: l.regions.iter().take(WRITTEN).map(row).collect(),
    }
}

/// Six decimals: a square micrometre.
fn area(mm2: f64) -> f64 {
    (mm2 * 1e6).round() / 1e6
}

fn hole(h: &landgap_rules::compare::HoleChange) -> HoleRow {
    let (changed, before) = match &h.changed {
        HoleChanged::Added => ("added", None),
        HoleChanged::Removed => ("removed", None),
        HoleChanged::Moved(from) => ("moved", Some(format!("at {}", landgap_rules::query::words::point(*from)))),
        HoleChanged::Resized(size) => (
            "resized",
            Some(size.map_or_else(
                || "no size".to_owned(),
                |s| format!("{} finished", landgap_rules::query::words::millimetres(s)),
            )),
        ),
        HoleChanged::Replated(plating) => ("replated", Some(plating.word().to_owned())),
        HoleChanged::Reshaped => ("reshaped", None),
        HoleChanged::Respanned((from, to)) => ("respanned", Some(format!("copper {from} to {to}"))),
    };
    HoleRow {
        changed: changed.to_owned(),
        at_um: point(h.at),
        finished_um: h.finished.map(Um),
        plating: h.plating.word().to_owned(),
        before,
        asked: h.asked,
    }
}

fn net(n: &landgap_rules::compare::NetChange) -> NetRow {
    NetRow {
        changed: if n.changed == NetChanged::Split { "split" } else { "joined" }.to_owned(),
        whole: n.whole.clone(),
        parts: n.parts.clone(),
        at_um: n.at.iter().map(|p| point(*p)).collect(),
        asked: n.asked,
    }
}
