//! Nets: islands joined by plated holes, named by the attributes of what stands on them.

use std::collections::BTreeMap;

use landgap_parser::{Polarity, Shape};

use super::touch::Touches;
use crate::board::{Board, HolePlating};
use crate::geometry::distance::{Segment, segment_segment};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, Geometry};

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
    if is_edge_plated(board) {
        join_over_edge(geometry, copper, &starts, &mut sets);
    }
    let numbers = number(&mut sets, total);
    for (layer, start) in geometry.copper.iter_mut().zip(&starts) {
        for (i, island) in layer.islands.iter_mut().enumerate() {
            island.net = numbers[start + i];
        }
    }
    names(board, geometry, copper, numbers.iter().max().map_or(0, |m| *m as usize + 1))
}

/// Whether the job file or the outline's own file (Gerber layer format 2021.02, 5.6.3: `Profile,P`) says that the
/// edge is plated. Copper over the edge that nothing speaks of joins nothing.
fn is_edge_plated(board: &Board) -> bool {
    let says = |file: &u32| {
        let function = board.images.get(*file as usize)?.as_ref()?.file_attribute(".FileFunction")?;
        Some(matches!(function, [name, plated, ..] if name == "Profile" && plated == "P"))
    };
    board.edge_plating == Some(true) || board.outline.files.iter().any(|file| says(file) == Some(true))
}

/// Copper that reaches the same contour of a plated edge is joined by it.
fn join_over_edge(geometry: &Geometry, copper: &[EdgeIndex], starts: &[usize], sets: &mut Sets) {
    /// Copper drawn up to the edge meets it although both were rounded.
    const MEETS: i64 = 1_000;
    for contour in &geometry.outline {
        let mut first: Option<usize> = None;
        for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
            for (layer, index) in (0u32..).zip(copper) {
                index.near(Bounds::of(&[*a, *b]).grown(MEETS), |i| {
                    let edge = index.edges()[i];
                    if segment_segment(edge.segment, Segment { a: *a, b: *b }).length <= MEETS as f64 {
                        let island = node(starts, layer, edge.island);
                        sets.join(*first.get_or_insert(island), island);
                    }
                });
            }
        }
    }
}

/// Number of the first island of every layer, all islands being numbered through.
pub(super) fn layer_starts(geometry: &Geometry) -> Vec<usize> {
    let mut next = 0;
    let start = |l: &crate::geometry::LayerImage| {
        let this = next;
        next += l.islands.len();
        this
    };
    geometry.copper.iter().map(start).collect()
}

/// Number of an island, all being numbered through.
pub(super) fn node(starts: &[usize], layer: u32, island: u32) -> usize {
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
pub(super) struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    pub(super) fn new(count: usize) -> Self {
        Self { parent: (0..count).collect() }
    }

    pub(super) fn root(&mut self, mut i: usize) -> usize {
        while self.parent[i] != i {
            self.parent[i] = self.parent[self.parent[i]];
            i = self.parent[i];
        }
        i
    }

    pub(super) fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b);
    }
}
