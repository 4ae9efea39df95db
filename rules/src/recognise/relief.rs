//! Reliefs: lands joined to the copper round them by bars across a clear gap.

use landgap_parser::Nm;

use super::collar::{Bar, Collar, Way, across};
use super::leaving::{self, Subject};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Part};
use crate::geometry::Bounds;
use crate::geometry::distance::round;

/// Distances from the land at which the gap is looked for, least first.
const GAP: [f64; 3] = [15e3, 30e3, 60e3];
/// So much further out copper is looked for all round.
const BEYOND: [f64; 8] = [60e3, 120e3, 180e3, 250e3, 350e3, 450e3, 600e3, 750e3];
/// Most bars of a relief.
const MOST: usize = 8;
/// In the gap, at most this share is copper.
const BARS: f64 = 0.6;
/// Beyond it, at least this share is.
const ROUND: f64 = 0.6;
/// A bar is narrower than this share of the land.
const NARROW: f64 = 0.8;
/// One bar alone counts only where the copper beyond is at least so broad.
const BROAD: f64 = 150e3;
/// Bars whose widths differ by at most this share are equal.
const EQUAL: f64 = 0.1;
/// Furthest look from a land.
const REACH: Nm = 1_000_000;

/// One feature a land. The size is the width of its narrowest bar; settled where it has at least two, all equal.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let look = |subject: &Subject, collar: &Collar| relief(ground, subject, collar);
    leaving::each(board, ground, lands, |_| REACH, look)
}

fn relief(ground: &Ground<'_>, subject: &Subject, collar: &Collar) -> Option<Feature> {
    let narrow = |b: &Bar| b.chord() <= subject.least as f64 * NARROW;
    let in_gap = |w: &Way| (1..=MOST).contains(&w.bars.len()) && w.share <= BARS && w.bars.iter().all(narrow);
    let (inner, way) = GAP.iter().find_map(|d| collar.at(*d).filter(in_gap).map(|w| (*d, w)))?;
    // Copper goes further out only as narrow bars, then lies all round.
    let mut through = vec![(inner, way)];
    for step in BEYOND {
        let way = collar.at(inner + step)?;
        if surrounds(ground, subject, &way) {
            // A track wound round its own land is no area.
            if through[0].1.bars.len() == 1 && !surrounds(ground, subject, &collar.at(inner + step + BROAD)?) {
                return None;
            }
            return Some(feature(subject, &through, collar.bounds(inner + step)));
        }
        through.push((inner + step, way));
    }
    None
}

/// Whether copper of the same piece lies round most of a way.
fn surrounds(ground: &Ground<'_>, subject: &Subject, way: &Way) -> bool {
    if way.bars.is_empty() {
        return ground.copper[subject.layer as usize - 1].island_at(round(way.start)) == Some(subject.island);
    }
    way.share >= ROUND
}

fn feature(subject: &Subject, through: &[(f64, Way)], bounds: Bounds) -> Feature {
    let bars = &through[0].1.bars;
    let parts: Vec<Part> = bars.iter().map(|bar| part(bar, through)).collect();
    let widths = || parts.iter().map(|p| p.width);
    let (least, most) = (widths().min().unwrap_or(0), widths().max().unwrap_or(0));
    let equal = (most - least) as f64 <= most as f64 * EQUAL;
    let reason = match (parts.len(), equal) {
        (1, _) => "one bar joins the land to the copper round it, across a clear gap".to_owned(),
        (n, true) => format!("{n} equal bars join the land to the copper round it, across a clear gap"),
        (n, false) => format!("{n} bars of different width join the land to the copper round it, across a clear gap"),
    };
    let middle = subject.middle;
    let mut feature = Feature::new(FeatureKind::Relief, Some(LayerRef::Copper(subject.layer)), middle).because(reason);
    feature.size = Some(least);
    feature.uncertainty = 2 * crate::geometry::flatten::FLATTENING;
    feature.settled = parts.len() > 1 && equal;
    feature.bounds = Some(bounds);
    feature.parts = parts;
    feature.holes = subject.hole.into_iter().collect();
    feature.sources = vec![subject.source];
    feature
}

/// A bar from the land to the far side of the gap, with its least width.
fn part(first: &Bar, through: &[(f64, Way)]) -> Part {
    let mut bars = vec![*first];
    for (_, way) in &through[1..] {
        let (x, y) = bars[bars.len() - 1].middle();
        let near = |b: &&Bar| (b.middle().0 - x).hypot(b.middle().1 - y) <= 200e3 && b.chord() <= 1.5 * first.chord();
        let Some(next) = way.bars.iter().find(near) else { break };
        bars.push(*next);
    }
    let width = across(&bars).into_iter().fold(f64::INFINITY, f64::min);
    Part { from: round(first.middle()), to: round(bars[bars.len() - 1].middle()), width: width.round() as Nm }
}
