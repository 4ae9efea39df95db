//! That nets stay as they were: taken from the copper before and after, and held against each other.

use std::collections::BTreeMap;

use landgap_parser::{Point, Polarity, Shape};

use super::bench::Bench;
use crate::board::{Board, LayerRef};
use crate::check::Measured;
use crate::geometry::Geometry;
use crate::geometry::edges::EdgeIndex;
use crate::measure::{in_parallel, nets, touch};

/// What was held against each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proof {
    /// Nets, before and after.
    pub nets: u32,
    /// Lands and holes that belong to the same net before and after.
    pub marks: u32,
}

/// The nets of a board at its lands and holes.
pub struct Nets {
    /// The net of every mark, in their order; none where a mark stands on no copper.
    at: Vec<Option<u32>>,
    count: u32,
}

impl Nets {
    /// Takes the nets from the copper.
    pub fn of(board: &Board, geometry: &Geometry) -> Self {
        let mut geometry = Geometry { copper: geometry.copper.clone(), ..Geometry::default() };
        let copper = in_parallel(&geometry.copper, |layer| EdgeIndex::new(&layer.islands));
        let touches = touch::find(board, &geometry, &copper);
        let names = nets::join(board, &mut geometry, &copper, &touches);
        let net = |layer: usize, p: Point| {
            let island = copper.get(layer)?.island_at(p)?;
            geometry.copper[layer].islands.get(island as usize).map(|i| i.net)
        };
        let mut at: Vec<Option<u32>> = lands(board).into_iter().map(|(layer, p)| net(layer, p)).collect();
        for hole in 0..board.holes.len() as u32 {
            let met = touches.of(hole).iter();
            at.extend(met.map(|t| geometry.copper[t.layer as usize].islands.get(t.island as usize).map(|i| i.net)));
            // How many islands a hole meets is part of what must stay.
            at.push(Some(u32::MAX - touches.of(hole).len() as u32));
        }
        Self { at, count: names.len() as u32 }
    }
}

fn lands(board: &Board) -> Vec<(usize, Point)> {
    let mut out = Vec::new();
    for (position, layer) in board.copper.iter().enumerate() {
        let Some(Some(image)) = board.images.get(layer.file as usize) else { continue };
        out.extend(image.objects.iter().filter(|o| o.polarity == Polarity::Dark).filter_map(|o| match o.shape {
            Shape::Flash { at, .. } => Some((position, at)),
            _ => None,
        }));
    }
    out
}

/// The proof, or `None` where a net would change.
pub fn proved(measured: &Measured, before: &Nets, bench: &Bench<'_>) -> Option<Proof> {
    let LayerRef::Copper(_) = bench.image.layer else {
        // Mask alone is changed: the copper, and with it every net, is the very same.
        return Some(Proof { nets: before.count, marks: before.at.len() as u32 });
    };
    let mut after = Geometry { copper: measured.geometry.copper.clone(), ..Geometry::default() };
    for layer in after.copper.iter_mut().filter(|l| l.layer == bench.image.layer) {
        layer.islands.clone_from(&bench.image.islands);
    }
    let after = Nets::of(&measured.board, &after);
    same(before, &after).then_some(Proof { nets: before.count, marks: before.at.len() as u32 })
}

/// Whether each net before is one net after and the other way round.
fn same(before: &Nets, after: &Nets) -> bool {
    if before.count != after.count || before.at.len() != after.at.len() {
        return false;
    }
    let (mut forth, mut back) = (BTreeMap::new(), BTreeMap::new());
    before.at.iter().zip(&after.at).all(|(a, b)| match (a, b) {
        (Some(a), Some(b)) => *forth.entry(*a).or_insert(*b) == *b && *back.entry(*b).or_insert(*a) == *a,
        (None, None) => true,
        _ => false,
    })
}
