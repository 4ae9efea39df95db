//! Where an attribute says one thing and the geometry another: the attribute is believed, and it is asked.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::lands::{Land, Places};
use super::{Ground, Lands, mask_defined};
use crate::board::{
    Board, Doubt, Feature, FeatureKind, Function, Hole, HoleKind, HolePlating, LandFunction, Reason, Side, Source,
};
use crate::measure::touch::axis;

/// Attributes and geometry that differ by less say the same.
const ROUNDING: Nm = 10_000;

/// Contradictions are doubts, found once all else is recognised; they are no features.
pub(super) const fn of(_: &Board, _: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    Vec::new()
}

/// One doubt for each way in which they contradict each other.
pub(super) fn doubts(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Doubt> {
    let mut out = tools_and_lands(&board.holes);
    out.extend(pressed(board));
    out.extend(half_holes(board, ground));
    out.extend(fiducials(board, lands));
    out.extend(openings(board, ground, lands));
    out.extend(edges(board));
    out
}

fn doubt(seen: String, places: Vec<Point>, sources: Vec<Source>, readings: [&str; 2]) -> Doubt {
    let reasons = vec!["attributes are believed before what the geometry suggests".to_owned()];
    let readings = readings.into_iter().filter(|r| !r.is_empty()).map(str::to_owned).collect();
    Doubt { rule: "contradicting-attribute", seen, reasons, sources, places, readings }
}

fn of_holes<'a>(holes: impl Iterator<Item = &'a Hole>) -> (Vec<Point>, Vec<Source>) {
    holes.map(|h| (h.at(), h.source)).unzip()
}

/// Via against component: one doubt a pair, told and not asked, as the tool is what is drilled.
fn tools_and_lands(holes: &[Hole]) -> Vec<Doubt> {
    let mut pairs: BTreeMap<(Function, LandFunction), Vec<&Hole>> = BTreeMap::new();
    for hole in holes {
        let Some(tool) = hole.function.as_deref().and_then(Function::of) else { continue };
        for reason in &hole.reasons {
            if let Reason::LandSaysOtherwise(land) = reason {
                pairs.entry((tool, *land)).or_default().push(hole);
            }
        }
    }
    let told = |((tool, land), holes): ((Function, LandFunction), Vec<&Hole>)| {
        let seen = format!(
            "the tool of {} hole(s) is marked {}, the land round them {}; the tool is believed",
            holes.len(),
            tool.value(),
            land.value()
        );
        let (places, sources) = of_holes(holes.into_iter());
        doubt(seen, places, sources, ["", ""])
    };
    pairs.into_iter().map(told).collect()
}

/// A lead is pressed into a plated hole.
fn pressed(board: &Board) -> Option<Doubt> {
    let wrong = || board.holes.iter().filter(|h| h.kind == HoleKind::PressFit && h.plating == HolePlating::Unplated);
    let count = wrong().count();
    let (places, sources) = of_holes(wrong());
    let seen = format!("{count} hole(s) are marked press-fit, and the data say they are not plated");
    (count > 0).then(|| doubt(seen, places, sources, ["they are made non-plated", "they are plated"]))
}

/// A half-hole lies on the edge.
fn half_holes(board: &Board, ground: &Ground<'_>) -> Option<Doubt> {
    let edge = ground.edge?;
    let inside = |h: &&Hole| {
        let reach = h.finished.unwrap_or(0) / 2 + ROUNDING;
        h.kind == HoleKind::HalfHole && edge.index.nearest(&axis(h), reach, |_, _| true).is_none()
    };
    let wrong = || board.holes.iter().filter(inside);
    let count = wrong().count();
    let (places, sources) = of_holes(wrong());
    let seen = format!("{count} hole(s) are marked as half-holes, and the board's edge does not cut them");
    (count > 0).then(|| doubt(seen, places, sources, ["they are drilled as whole holes", "the edge is to cut them"]))
}

fn of_lands<'a>(lands: impl Iterator<Item = &'a Land>) -> (Vec<Point>, Vec<Source>) {
    lands.map(|l| (l.at, l.source)).unzip()
}

/// A fiducial has no hole.
fn fiducials(board: &Board, lands: &Lands) -> Option<Doubt> {
    let holes = Places::of_holes(board);
    let drilled = |l: &&Land| lands.function(board, l) == Some("FiducialPad") && holes.has(l.at, l.least() / 4);
    let wrong = || lands.all().iter().filter(drilled);
    let count = wrong().count();
    let (places, sources) = of_lands(wrong());
    let seen = format!("{count} land(s) are marked as fiducials, and a hole is drilled in them");
    (count > 0).then(|| doubt(seen, places, sources, ["the holes are drilled as given", "the holes are left out"]))
}

/// What is said to bound a land, against its opening.
fn openings(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Doubt> {
    let last = board.copper.len() as u32;
    let mut by_copper = Vec::new();
    let mut by_mask = Vec::new();
    for land in lands.all().iter().filter(|l| l.layer == 1 || l.layer == last && last > 1) {
        let side = if land.layer == 1 { Side::Top } else { Side::Bottom };
        let Some(stated) = lands.functions(board, land).get(1).filter(|s| *s == "CuDef" || *s == "SMDef") else {
            continue;
        };
        let Some(over) = mask_defined::overlap(ground, land, side) else { continue };
        match stated.as_str() {
            "CuDef" if over >= ROUNDING => by_copper.push(land),
            "SMDef" if over < -ROUNDING => by_mask.push(land),
            _ => {}
        }
    }
    let mut out = Vec::new();
    if !by_copper.is_empty() {
        let seen =
            format!("{} land(s) are marked as bounded by copper, and mask lies on them all round", by_copper.len());
        let (places, sources) = of_lands(by_copper.into_iter());
        let readings = ["the openings are enlarged beyond the lands", "the openings are made as drawn"];
        out.push(doubt(seen, places, sources, readings));
    }
    if !by_mask.is_empty() {
        let seen = format!("{} land(s) are marked as bounded by mask, and their openings are larger", by_mask.len());
        let (places, sources) = of_lands(by_mask.into_iter());
        out.push(doubt(
            seen,
            places,
            sources,
            ["the openings are made as drawn", "you send openings smaller than the lands"],
        ));
    }
    out
}

/// What the job file says of plated edges.
fn edges(board: &Board) -> Option<Doubt> {
    let runs = || board.features.iter().filter(|f| f.kind == FeatureKind::EdgePlating);
    let count = runs().count();
    let (places, sources) =
        runs().map(|f| (f.at, f.sources.first().copied().unwrap_or(Source { file: 0, line: 0 }))).unzip();
    match board.edge_plating {
        Some(true) if count == 0 && !board.outline.contours.is_empty() => Some(doubt(
            "the job file says that edges are plated, and nowhere does copper of one net go over the edge on two layers".to_owned(),
            places,
            Vec::new(),
            ["no edge is plated", "you send copper that reaches over the edges to be plated"],
        )),
        Some(false) if count > 0 => Some(doubt(
            format!("the job file says that no edge is plated, and copper of one net goes over the edge on several layers at {count} place(s)"),
            places,
            sources,
            ["no edge is plated and the copper is drawn back", "the edge is plated there"],
        )),
        _ => None,
    }
}
