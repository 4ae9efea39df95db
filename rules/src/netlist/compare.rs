//! Names against nets: shorts, opens, lost points.

use std::collections::{BTreeMap, BTreeSet};

use super::snap::{self, Holes, Node};
use super::stated::{Points, Stated};
use super::{Comparison, Ground, Lost, Open, Short, bridge, nearest, unnamed};
use crate::board::LayerRef;

/// Places are worked out for so many differences of a kind; further ones are named at their points.
const PLACED: usize = 200;

/// A point with the islands under it.
pub(super) struct Met<'a> {
    pub point: &'a Stated,
    pub nodes: Vec<Node>,
}

/// Compares stated points with the copper they stand on.
pub(super) fn compare(points: &Points, ground: &Ground<'_>) -> Comparison {
    let holes = Holes::of(&ground.board.holes);
    let net = |node: &Node| ground.geometry.copper[node.0 as usize].islands[node.1 as usize].net;
    let mut out = Comparison { points: points.list.len() as u32, ..Comparison::default() };
    let mut names_of: BTreeMap<u32, BTreeMap<u32, Vec<usize>>> = BTreeMap::new();
    let mut nets_of: BTreeMap<u32, BTreeMap<u32, Vec<usize>>> = BTreeMap::new();
    let mut stated_nets: BTreeSet<u32> = BTreeSet::new();
    let met: Vec<Met<'_>> =
        points.list.iter().map(|point| Met { point, nodes: snap::islands(point, &holes, ground) }).collect();
    for (i, found) in met.iter().enumerate() {
        if found.nodes.is_empty() && found.point.must_land {
            out.lost.push(lost(found.point, points, None));
        } else {
            let bare = snap::without_land(found.point, ground);
            out.lost.extend(bare.into_iter().map(|layer| lost(found.point, points, Some(layer))));
        }
        let nets = found.nodes.iter().map(net).collect::<BTreeSet<u32>>();
        stated_nets.extend(&nets);
        let Some(name) = found.point.name else { continue };
        for net in nets {
            names_of.entry(net).or_default().entry(name).or_default().push(i);
            nets_of.entry(name).or_default().entry(net).or_default().push(i);
        }
    }
    out.unnamed = unnamed::find(&stated_nets, ground);
    out.names = nets_of.len() as u32;
    for (number, (net, names)) in names_of.iter().filter(|(_, names)| names.len() > 1).enumerate() {
        let mut short = short(*net, names, &met, points, ground, number < PLACED);
        short.declared = tied(names.keys(), &points.ties);
        out.shorts.push(short);
    }
    for (name, parts) in nets_of.iter().filter(|(_, parts)| parts.len() > 1 && !is_one_pin(parts, &met)) {
        let number = out.opens.len();
        out.opens.push(open(&points.names[*name as usize], parts, &met, ground, number < PLACED));
    }
    out
}

/// Whether all points of a name belong to one pin of one part, which joins them itself (a shell with several tabs).
fn is_one_pin(parts: &BTreeMap<u32, Vec<usize>>, met: &[Met<'_>]) -> bool {
    let pins_of = |points: &Vec<usize>| -> BTreeSet<&str> {
        points.iter().map(|i| met[*i].point.pin.as_str()).filter(|pin| pin.contains(" pin ")).collect()
    };
    let mut pins = parts.values().map(pins_of);
    let first = pins.next().unwrap_or_default();
    first.len() == 1 && pins.all(|p| p == first)
}

fn lost(point: &Stated, points: &Points, land: Option<LayerRef>) -> Lost {
    let name = point.name.map_or_else(|| "a point of no net".to_owned(), |n| points.names[n as usize].clone());
    Lost { name, pin: point.pin.clone(), at: point.at, land, source: point.source }
}

/// Whether names are one, by themselves or by ties the data declare.
fn tied<'n>(mut names: impl Iterator<Item = &'n u32>, ties: &[(u32, u32)]) -> bool {
    let Some(first) = names.next() else { return true };
    let mut joined = BTreeSet::from([*first]);
    loop {
        let more: Vec<u32> = ties
            .iter()
            .flat_map(|(a, b)| [(*a, *b), (*b, *a)])
            .filter(|(a, b)| joined.contains(a) && !joined.contains(b))
            .map(|(_, b)| b)
            .collect();
        if more.is_empty() {
            return names.all(|n| joined.contains(n));
        }
        joined.extend(more);
    }
}

/// The names whose points are fewest stand against all others of the net.
fn short(
    net: u32,
    names: &BTreeMap<u32, Vec<usize>>,
    met: &[Met<'_>],
    points: &Points,
    ground: &Ground<'_>,
    placed: bool,
) -> Short {
    let least = names.iter().min_by_key(|(name, at)| (at.len(), **name)).map(|(name, _)| *name);
    let of = |wanted: bool| -> Vec<&Met<'_>> {
        let chosen = names.iter().filter(|(name, _)| (Some(**name) == least) == wanted);
        chosen.flat_map(|(_, at)| at.iter().map(|i| &met[*i])).collect()
    };
    let (few, rest) = (of(true), of(false));
    let mut stated: Vec<String> = names.keys().map(|n| points.names[*n as usize].clone()).collect();
    stated.sort_unstable();
    let (spot, found) =
        if placed { bridge::find(net, &few, &rest, ground) } else { bridge::at_points(&few, &rest, ground) };
    let by_part = bridge::joining_part(&spot, &few, &rest, ground);
    Short { names: stated, spot, found, by_part, declared: false }
}

/// The part with the fewest points stands against the others.
fn open(name: &str, parts: &BTreeMap<u32, Vec<usize>>, met: &[Met<'_>], ground: &Ground<'_>, placed: bool) -> Open {
    let apart = parts.iter().min_by_key(|(net, at)| (at.len(), std::cmp::Reverse(**net)));
    let (net, at) = apart.map(|(net, at)| (*net, at.as_slice())).unwrap_or_default();
    let others: Vec<u32> = parts.keys().copied().filter(|n| *n != net).collect();
    let first = at.first().map(|i| met[*i].point);
    let (spot, found) = nearest::find(net, &others, first, ground, placed);
    Open { name: name.to_owned(), parts: parts.len() as u32, spot, found }
}
