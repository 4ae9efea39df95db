//! Nets: islands joined by plated holes, named by the attributes of what stands on them.

use std::collections::BTreeMap;

use landgap_parser::{Polarity, Shape};

use super::touch::Touches;
use crate::board::{Board, HolePlating};
use crate::geometry::Geometry;
use crate::geometry::edges::EdgeIndex;

/// Sets the net of every copper island and gives the nets' names; the count is the number of nets.
pub(crate) fn join(board: &Board, geometry: &mut Geometry, copper: &[EdgeIndex], touches: &Touches) -> Vec<String> {
    let starts = layer_starts(geometry);
    let total = geometry.copper.iter().map(|l| l.islands.len()).sum();
    let mut sets = Sets::new(total);
    for (i, hole) in board.holes.iter().enumerate() {
        if hole.plating != HolePlating::Plated {
            continue;
        }
        let met = touches.of(i as u32);
        for pair in met.windows(2) {
            sets.join(node(&starts, pair[0].layer, pair[0].island), node(&starts, pair[1].layer, pair[1].island));
        }
    }
    let numbers = number(&mut sets, total);
    for (layer, start) in geometry.copper.iter_mut().zip(&starts) {
        for (i, island) in layer.islands.iter_mut().enumerate() {
            island.net = numbers[start + i];
        }
    }
    names(board, geometry, copper, numbers.iter().max().map_or(0, |m| *m as usize + 1))
}

fn layer_starts(geometry: &Geometry) -> Vec<usize> {
    let mut next = 0;
    let start = |l: &crate::geometry::LayerImage| {
        let this = next;
        next += l.islands.len();
        this
    };
    geometry.copper.iter().map(start).collect()
}

fn node(starts: &[usize], layer: u32, island: u32) -> usize {
    starts[layer as usize] + island as usize
}

/// Nets numbered by their first island from the top.
fn number(sets: &mut Sets, total: usize) -> Vec<u32> {
    let mut known: BTreeMap<usize, u32> = BTreeMap::new();
    (0..total)
        .map(|i| {
            let next = known.len() as u32;
            *known.entry(sets.root(i)).or_insert(next)
        })
        .collect()
}

/// The name most objects on a net carry; the first in order of the alphabet among equals.
fn names(board: &Board, geometry: &Geometry, copper: &[EdgeIndex], nets: usize) -> Vec<String> {
    let mut votes: Vec<BTreeMap<String, u32>> = vec![BTreeMap::new(); nets];
    for (position, layer) in board.copper.iter().enumerate() {
        let Some(Some(image)) = board.images.get(layer.file as usize) else { continue };
        for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let (Some([name]), Shape::Flash { at, .. }) = (image.attribute(object, ".N"), &object.shape) else {
                continue;
            };
            if name.is_empty() || name == "N/C" {
                continue;
            }
            if let Some(island) = copper[position].island_at(*at) {
                let net = geometry.copper[position].islands[island as usize].net;
                *votes[net as usize].entry(name.clone()).or_default() += 1;
            }
        }
    }
    let best = |v: BTreeMap<String, u32>| {
        v.into_iter().max_by(|a, b| a.1.cmp(&b.1).then(b.0.cmp(&a.0))).map(|(name, _)| name).unwrap_or_default()
    };
    votes.into_iter().map(best).collect()
}

/// Union-find.
struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    fn new(count: usize) -> Self {
        Self { parent: (0..count).collect() }
    }

    fn root(&mut self, mut i: usize) -> usize {
        while self.parent[i] != i {
            self.parent[i] = self.parent[self.parent[i]];
            i = self.parent[i];
        }
        i
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b);
    }
}
