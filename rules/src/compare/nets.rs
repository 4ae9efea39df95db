//! Nets split and joined, told by lands that both sets have.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Point, Polarity, Shape};

use super::{Asked, moved};
use crate::check::Measured;
use crate::geometry::edges::EdgeIndex;
use crate::measure::in_parallel;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NetChanged {
    /// One net became several.
    Split,
    /// Several nets became one.
    Joined,
}

/// A net that was split, or nets that were joined.
#[derive(Clone, Debug)]
pub struct NetChange {
    /// Which of the two.
    pub changed: NetChanged,
    /// The one net: before the split, or after the joining.
    pub whole: String,
    /// The parts: after the split, or before the joining.
    pub parts: Vec<String>,
    /// A land of each part, in the new data's coordinates.
    pub at: Vec<Point>,
    /// Whether one of these lies near a place that was asked about.
    pub asked: bool,
}

/// A land both sets have: layer and place.
type Land = (u32, Point);

pub(super) fn changes(old: &Measured, new: &Measured, by: Point, asked: &Asked) -> Vec<NetChange> {
    let there: BTreeSet<Land> = lands(new, Point::new(0, 0)).into_iter().collect();
    let shared: Vec<Land> = lands(old, by).into_iter().filter(|l| there.contains(l)).collect();
    let (before, after) = (nets_at(old, &shared, by), nets_at(new, &shared, Point::new(0, 0)));
    let mut pairs: BTreeMap<(u32, u32), Point> = BTreeMap::new();
    for ((land, a), b) in shared.iter().zip(before).zip(after) {
        if let (Some(a), Some(b)) = (a, b) {
            pairs.entry((a, b)).or_insert(land.1);
        }
    }
    let split = grouped(pairs.iter().map(|((a, b), at)| (*a, *b, *at)));
    let joined = grouped(pairs.iter().map(|((a, b), at)| (*b, *a, *at)));
    let mut out: Vec<NetChange> =
        split.into_iter().map(|(net, parts)| change(NetChanged::Split, old, net, new, parts)).collect();
    out.extend(joined.into_iter().map(|(net, parts)| change(NetChanged::Joined, new, net, old, parts)));
    out.iter_mut().for_each(|c| c.asked = c.at.iter().any(|p| asked.near(*p)));
    out
}

/// Nets with more than one counterpart.
fn grouped(pairs: impl Iterator<Item = (u32, u32, Point)>) -> Vec<(u32, Vec<(u32, Point)>)> {
    let mut by_net: BTreeMap<u32, Vec<(u32, Point)>> = BTreeMap::new();
    pairs.for_each(|(net, part, at)| by_net.entry(net).or_default().push((part, at)));
    by_net.into_iter().filter(|(_, parts)| parts.len() > 1).collect()
}

fn change(changed: NetChanged, one: &Measured, net: u32, many: &Measured, parts: Vec<(u32, Point)>) -> NetChange {
    let name = |set: &Measured, net: u32, at: Point| match set.facts.net_names.get(net as usize) {
        Some(name) if !name.is_empty() => name.clone(),
        _ => format!("the net at {}", crate::query::words::point(at)),
    };
    NetChange {
        changed,
        whole: name(one, net, parts[0].1),
        parts: parts.iter().map(|(part, at)| name(many, *part, *at)).collect(),
        at: parts.into_iter().map(|(_, at)| at).collect(),
        asked: false,
    }
}

/// Flashed lands of the copper layers; the last layer counts as the same in both sets, however many lie between.
fn lands(set: &Measured, by: Point) -> Vec<Land> {
    let last = set.board.copper.len() as u32;
    let mut out = Vec::new();
    for layer in &set.board.copper {
        let Some(Some(image)) = set.board.images.get(layer.file as usize) else { continue };
        let number = if layer.number == last && last > 1 { u32::MAX } else { layer.number };
        out.extend(image.objects.iter().filter(|o| o.polarity == Polarity::Dark).filter_map(|o| match o.shape {
            Shape::Flash { at, .. } => Some((number, moved(at, by))),
            _ => None,
        }));
    }
    out.sort_unstable();
    out.dedup();
    out
}

/// The net under each land; `by` is what was added to the set's own coordinates.
fn nets_at(set: &Measured, lands: &[Land], by: Point) -> Vec<Option<u32>> {
    let last = set.geometry.copper.len();
    let indices = in_parallel(&set.geometry.copper, |layer| EdgeIndex::new(&layer.islands));
    let net = |(number, at): &Land| {
        let position = if *number == u32::MAX { last } else { *number as usize }.checked_sub(1)?;
        let own = Point::new(at.x - by.x, at.y - by.y);
        let island = indices.get(position)?.island_at(own)?;
        set.geometry.copper.get(position)?.islands.get(island as usize).map(|i| i.net)
    };
    lands.iter().map(net).collect()
}
