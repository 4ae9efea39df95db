//! Teardrops: copper that widens evenly from a track to the land it joins.

use landgap_parser::Nm;

use super::collar::{Bar, Collar, across};
use super::leaving::{self, Subject};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef};
use crate::geometry::Bounds;
use crate::geometry::distance::round;

/// Distances from the land at which the bar is measured, in radii of the land.
const STEPS: [f64; 9] = [0.08, 0.2, 0.35, 0.5, 0.75, 1.0, 1.3, 1.7, 2.2];
/// At the land the bar is at least so much wider than the track.
const WIDER: f64 = 1.3;
/// It begins to narrow within so many steps.
const BEGINS: usize = 5;
/// Of all it loses in width, it loses at most this share between two steps.
const SUDDEN: f64 = 0.75;
/// Widths that differ by less than this share are the same.
const SAME: f64 = 0.04;
/// A track wider than this share of the land is no track.
const TRACK: f64 = 0.8;
/// Lands larger than this have no teardrops.
const LARGEST: Nm = 4_000_000;

/// One feature a teardrop. The size is the width of the track.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let reach = |s: &Subject| (s.least as f64 * STEPS[STEPS.len() - 1] / 2.0).ceil() as Nm;
    let look = |subject: &Subject, collar: &Collar| {
        let found = drops(subject, collar);
        (!found.is_empty()).then_some(found)
    };
    leaving::each(board, ground, lands, reach, look).into_iter().flatten().collect()
}

fn drops(subject: &Subject, collar: &Collar) -> Vec<Feature> {
    if subject.least > LARGEST {
        return Vec::new();
    }
    let radius = subject.least as f64 / 2.0;
    let ways: Vec<Vec<Bar>> = STEPS.iter().map_while(|s| Some(collar.at(s * radius)?.bars)).collect();
    let Some(first) = ways.first() else { return Vec::new() };
    let wide = |b: &&Bar| b.chord() <= 2.1 * radius;
    first.iter().filter(wide).filter_map(|bar| drop(subject, bar, &ways, radius)).collect()
}

fn drop(subject: &Subject, first: &Bar, ways: &[Vec<Bar>], radius: f64) -> Option<Feature> {
    let bars = follow(first, ways, radius);
    let widths = across(&bars);
    let (end, track) = taper(&widths)?;
    if track > 2.0 * radius * TRACK {
        return None;
    }
    let mut bounds = Bounds::EMPTY;
    bars[..=end].iter().flat_map(|b| [b.from, b.to]).for_each(|p| bounds.add(round(p)));
    let (from, to) = (round(bars[0].middle()), round(bars[end].middle()));
    let mut feature = Feature::new(FeatureKind::Teardrop, Some(LayerRef::Copper(subject.layer)), from)
        .because("copper widens evenly from a track to the land it joins");
    feature.size = Some(track.round() as Nm);
    feature.uncertainty = 2 * crate::geometry::flatten::FLATTENING;
    feature.between = Some((from, to));
    feature.bounds = Some(bounds);
    feature.settled = true;
    feature.sources = vec![subject.source];
    Some(feature)
}

/// Where a bar stops narrowing, and its width from there on.
fn taper(widths: &[f64]) -> Option<(usize, f64)> {
    let narrows = |pair: &[f64]| pair[1] < pair[0] * (1.0 - SAME);
    let start = widths.windows(2).take(BEGINS).position(narrows)?;
    let end = start + widths[start..].windows(2).take_while(|p| narrows(p)).count();
    let (last, track, whole) = (widths[end], *widths.get(end + 1)?, widths[start] - widths[end]);
    let goes_on = (track - last).abs() <= last * SAME;
    let even = widths[start..=end].windows(2).all(|p| p[0] - p[1] <= whole * SUDDEN);
    (end >= start + 2 && goes_on && even && widths[start] >= track * WIDER).then_some((end, track))
}

/// The bar outwards, as long as it neither ends nor parts.
fn follow(first: &Bar, ways: &[Vec<Bar>], radius: f64) -> Vec<Bar> {
    let mut out = vec![*first];
    for (way, pair) in ways.iter().skip(1).zip(STEPS.windows(2)) {
        let last = out[out.len() - 1];
        let step = (pair[1] - pair[0]) * radius;
        let middle = last.middle();
        let near = |b: &&Bar| {
            let (x, y) = b.middle();
            (x - middle.0).hypot(y - middle.1) <= 1.6 * step + last.chord() / 2.0
        };
        let mut next = way.iter().filter(near);
        match (next.next(), next.next()) {
            (Some(bar), None) => out.push(*bar),
            _ => break,
        }
    }
    out
}
