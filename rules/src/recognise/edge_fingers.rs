//! Rows of long opened lands at the edge, without paste, that plug into a connector.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

use super::lands::{Land, Places};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};
use crate::geometry::outline::Edge;

/// Fewest fingers of a row.
const FEWEST: usize = 4;
/// The outer end of a finger lies at most this far from the edge.
const TO_EDGE: Nm = 1_500_000;

/// One feature a row. The size is the least distance from a finger's middle to the edge.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let Some(edge) = ground.edge else { return Vec::new() };
    let last = board.copper.len() as u32;
    let mut found = Vec::new();
    for side in [Side::Top, Side::Bottom] {
        let layer = if side == Side::Top { 1 } else { last };
        let paste = board.pastes.iter().filter(|p| p.side == side).map(|p| p.file);
        let known = board.pastes.iter().any(|p| p.side == side);
        let paste = Places::of_images(board, paste);
        if known && (side == Side::Top || last > 1) {
            let mut rows: BTreeMap<(u32, bool, Nm), Vec<&Land>> = BTreeMap::new();
            for land in lands.all().iter().filter(|l| l.layer == layer && is_finger(l, ground, edge, side, &paste)) {
                let upright = land.size.1 > land.size.0;
                let line = if upright { land.at.y } else { land.at.x };
                rows.entry((land.aperture, upright, line)).or_default().push(land);
            }
            found.extend(rows.into_values().filter(|r| r.len() >= FEWEST).map(|r| row(&r, edge)));
        }
    }
    found
}

fn is_finger(land: &Land, ground: &Ground<'_>, edge: &Edge, side: Side, paste: &Places) -> bool {
    let long = land.size.0.max(land.size.1);
    let shaped = !land.round && long >= 2 * land.least() && long >= 2_000_000;
    shaped
        && edge.index.nearest(&[land.at], long / 2 + TO_EDGE, |_, _| true).is_some()
        && ground.mask(side).is_some_and(|m| m.island_at(land.at).is_some())
        && !paste.has(land.at, land.least() / 2)
}

fn row(fingers: &[&Land], edge: &Edge) -> Feature {
    let (first, last) = (fingers[0], fingers[fingers.len() - 1]);
    let middle = Point::new(first.at.x.midpoint(last.at.x), first.at.y.midpoint(last.at.y));
    let to_edge = |l: &&Land| edge.index.nearest(&[l.at], 20_000_000, |_, _| true).map(|(_, s)| s.length.round() as Nm);
    let mut feature =
        Feature::new(FeatureKind::EdgeFingers, Some(LayerRef::Copper(first.layer)), middle).because(format!(
            "{} equal long lands stand in a row at the board's edge, opened in mask and without paste",
            fingers.len()
        ));
    feature.size = fingers.iter().filter_map(to_edge).min();
    feature.between = Some((first.at, last.at));
    feature.settled = true;
    feature.sources = fingers.iter().map(|l| l.source).collect();
    feature
}
