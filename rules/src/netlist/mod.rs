//! What the data say about nets against what the copper joins.
//!
//! Two statements are known: a netlist file, and the net attributes of the artwork. Each is laid over
//! the copper ([`fit`]), its points are matched to islands ([`snap`]), and names and nets are compared.
//! The comparison knows no shop.

mod bridge;
pub mod codes;
mod compare;
mod contradict;
mod fit;
mod nearest;
mod pieces;
mod snap;
mod stated;
mod unnamed;

use landgap_parser::{Nm, Point};

use crate::board::{Board, LayerRef, Source};
use crate::geometry::Geometry;
use crate::geometry::edges::EdgeIndex;
use crate::measure::touch::Touches;
pub(crate) use snap::SAME_HOLE;

/// What the comparison may look at.
pub(crate) struct Ground<'a> {
    pub board: &'a Board,
    pub geometry: &'a Geometry,
    /// Boundaries of the copper layers, by position in `geometry.copper`.
    pub copper: &'a [EdgeIndex],
    pub touches: &'a Touches,
    /// Boundaries of the mask openings, by position in `geometry.masks`.
    pub masks: &'a [EdgeIndex],
}

/// Everything stated about nets, compared with the copper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Electrical {
    /// One comparison for each statement that could be laid over the copper.
    pub comparisons: Vec<Comparison>,
    /// Statements that could not be compared, each with its reason in a plain sentence.
    pub refused: Vec<Refusal>,
}

/// A statement that could not be laid over the copper.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Why, in a plain sentence.
    pub why: String,
    /// The file.
    pub source: Source,
}

/// One statement, compared with the copper.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// What was compared, as it reads in a sentence: "netlist board.ipc".
    pub statement: String,
    /// How the statement was laid over the copper, in a plain sentence.
    pub fit: String,
    /// Whether it stands in a netlist file, which promises every point of every net.
    pub from_netlist: bool,
    /// How many points were compared.
    pub points: u32,
    /// How many names were compared.
    pub names: u32,
    /// Nets of the copper with more than one name.
    pub shorts: Vec<Short>,
    /// Names on more than one net of the copper.
    pub opens: Vec<Open>,
    /// Points without copper, or without the land that is stated there.
    pub lost: Vec<Lost>,
    /// Nets of the copper with lands to solder to that the statement does not know.
    pub unnamed: Vec<Unnamed>,
    /// What the statement says of holes and the drill data contradict: the file, and the remarks on it.
    pub remarks: Option<(u32, Vec<landgap_parser::Remark>)>,
}

/// Where a difference lies.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Spot {
    /// The place.
    pub at: Point,
    /// The layer, where it lies on one.
    pub layer: Option<LayerRef>,
    /// Witness points.
    pub between: Option<(Point, Point)>,
    /// Width of a bridge or the gap of an open, where known.
    pub measured: Option<Nm>,
    /// Lines of the data concerned.
    pub sources: Vec<Source>,
}

/// Copper that joins what is stated to be apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// Its names, in order of the alphabet.
    pub names: Vec<String>,
    /// The smallest piece whose removal parts the names, or the likeliest place.
    pub spot: Spot,
    /// How the place was found, in a plain sentence.
    pub found: String,
    /// The part that joins them on purpose (a closed jumper, a net tie), where the bridge is its own copper.
    pub by_part: Option<String>,
    /// Whether the data say that the names are tied on purpose.
    pub declared: bool,
}

/// Copper in parts that is stated to be one net.
#[derive(Clone, Debug, PartialEq)]
pub struct Open {
    /// Its name.
    pub name: String,
    /// How many parts.
    pub parts: u32,
    /// Where two parts lie nearest.
    pub spot: Spot,
    /// What was found there, in a plain sentence.
    pub found: String,
}

/// A net of the copper without a single point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unnamed {
    /// One of its lands.
    pub at: Point,
    /// Layer of that land.
    pub layer: LayerRef,
    /// How many lands it has.
    pub lands: u32,
    /// Line that draws the first of them.
    pub source: Source,
}

/// A point of the statement that meets no copper, or not the land it should.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// Net it is stated to be on.
    pub name: String,
    /// Component and pin, or "via", where stated.
    pub pin: String,
    /// Where it should be.
    pub at: Point,
    /// The outer layer on which the land is missing, where copper passes there all the same.
    pub land: Option<LayerRef>,
    /// Its line.
    pub source: Source,
}

/// What a netlist says of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct HoleUse {
    /// A via, or a component's pin; `None` where neither is said.
    pub via: Option<bool>,
    /// Whether it is plated.
    pub plated: Option<bool>,
}

/// The holes of every netlist that can be laid over the copper.
pub(crate) fn holes(ground: &Ground<'_>) -> Vec<(Point, HoleUse)> {
    let mut out = Vec::new();
    for (file, netlist) in &ground.board.netlists {
        let mut points = stated::of_netlist(netlist, *file, ground.board.copper.len() as u32);
        if fit::lay(&mut points, ground).is_ok() {
            let stated = points.list.iter().filter_map(|p| Some((p.at, p.hole?, p.pin.as_str())));
            out.extend(stated.map(|(at, hole, pin)| {
                let via = (!pin.is_empty()).then_some(pin == "via");
                (at, HoleUse { via, plated: hole.plated })
            }));
        }
    }
    out
}

/// Compares every statement about nets with the copper.
pub(crate) fn compare(ground: &Ground<'_>) -> Electrical {
    let mut out = Electrical::default();
    if ground.geometry.copper.is_empty() {
        return out;
    }
    for (file, netlist) in &ground.board.netlists {
        let mut points = stated::of_netlist(netlist, *file, ground.board.copper.len() as u32);
        let path = &ground.board.files[*file as usize].path;
        match fit::lay(&mut points, ground) {
            Ok(how) => {
                let mut found = compare::compare(&points, ground);
                found.statement = format!("netlist {path}");
                found.fit = how;
                found.from_netlist = true;
                found.remarks = Some((*file, contradict::remarks(&points, ground.board)));
                out.comparisons.push(found);
            }
            Err(why) => {
                out.refused.push(Refusal { why: format!("{path}: {why}"), source: Source { file: *file, line: 0 } });
            }
        }
    }
    let points = stated::of_attributes(ground.board);
    if points.list.len() > 1 {
        let mut found = compare::compare(&points, ground);
        found.lost.clear();
        found.unnamed.clear();
        found.statement = "the net attributes of the artwork".to_owned();
        found.fit = "They stand on the copper itself".to_owned();
        out.comparisons.push(found);
    }
    out
}
