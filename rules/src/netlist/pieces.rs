//! The objects a net is drawn with, and which of them touch: the graph in which a bridge is looked for.

use std::collections::BTreeMap;

use landgap_parser::{ApertureShape, Image, Nm, Object, Point, Polarity, Shape};

use super::Ground;
use crate::board::{HolePlating, LayerRef, Source};
use crate::geometry::distance::segment_segment;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::image::bounds_of;
use crate::geometry::{Bounds, engine, shape};
use crate::measure::touch;

/// Flattened outlines of touching objects may lie this far apart.
const TOUCHING: Nm = 500;

/// One drawn object.
pub(super) struct Piece {
    pub at: Point,
    pub layer: LayerRef,
    pub area: f64,
    /// Pen of a draw.
    pub width: Option<Nm>,
    pub source: Source,
}

/// Objects of one layer with their outlines indexed.
struct Sheet {
    position: usize,
    index: EdgeIndex,
    /// Piece of each indexed contour.
    owner: Vec<u32>,
}

/// The pieces of one net. Nodes are pieces, then the plated holes that join them.
pub(super) struct Pieces {
    pub list: Vec<Piece>,
    next: Vec<Vec<u32>>,
    sheets: Vec<Sheet>,
}

impl Pieces {
    /// Gathers the pieces of a net; `None` where there are more than `most`.
    pub fn of(net: u32, most: usize, ground: &Ground<'_>) -> Option<Self> {
        let mut pieces = Self { list: Vec::new(), next: Vec::new(), sheets: Vec::new() };
        for position in 0..ground.copper.len() {
            pieces.gather(net, position, most, ground)?;
        }
        pieces.next.resize(pieces.list.len(), Vec::new());
        for number in 0..pieces.sheets.len() {
            pieces.join_touching(number);
        }
        pieces.join_by_holes(net, ground);
        pieces.next.iter_mut().for_each(|n| {
            n.sort_unstable();
            n.dedup();
        });
        Some(pieces)
    }

    pub fn nodes(&self) -> usize {
        self.next.len()
    }

    pub fn next(&self, node: u32) -> &[u32] {
        &self.next[node as usize]
    }

    /// The pieces under a point of a layer; the nearest within reach where none lies under it.
    pub fn under(&self, position: u32, at: Point, reach: Nm) -> Vec<u32> {
        let Some(sheet) = self.sheets.iter().find(|s| s.position == position as usize) else { return Vec::new() };
        let mut found: Vec<u32> = sheet.index.enclosers(at).into_iter().map(|c| sheet.owner[c as usize]).collect();
        if found.is_empty()
            && let Some((edge, _)) = sheet.index.nearest(&[at], reach, |_, _| true)
        {
            found.push(sheet.owner[sheet.index.edges()[edge].island as usize]);
        }
        found.sort_unstable();
        found.dedup();
        found
    }

    fn gather(&mut self, net: u32, position: usize, most: usize, ground: &Ground<'_>) -> Option<()> {
        let layer = &ground.geometry.copper[position];
        let bounds: Vec<Bounds> =
            layer.islands.iter().filter(|i| i.net == net).map(|i| i.bounds.grown(TOUCHING)).collect();
        let file = ground.board.copper.get(position).map(|c| c.file);
        let image = file.and_then(|f| ground.board.images.get(f as usize)?.as_ref());
        let (Some(image), Some(file), false) = (image, file, bounds.is_empty()) else { return Some(()) };
        let (mut contours, mut owner) = (Vec::new(), Vec::new());
        for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let drawn = shape::contours(image, object);
            if drawn.is_empty() || !bounds.iter().any(|b| b.meets(&bounds_of(&drawn))) {
                continue;
            }
            if !is_on(net, position, drawn[0][0], ground) {
                continue;
            }
            if self.list.len() >= most {
                return None;
            }
            let number = self.list.len() as u32;
            self.list.push(piece(image, object, &drawn, layer.layer, file));
            owner.extend(drawn.iter().map(|_| number));
            contours.extend(drawn);
        }
        self.sheets.push(Sheet { position, index: EdgeIndex::of_contours(&contours), owner });
        Some(())
    }

    fn join_touching(&mut self, number: usize) {
        let sheet = &self.sheets[number];
        let mut pairs: Vec<(u32, u32)> = Vec::new();
        let mut first: BTreeMap<u32, Point> = BTreeMap::new();
        for edge in sheet.index.edges() {
            let mine = sheet.owner[edge.island as usize];
            first.entry(edge.island).or_insert(edge.segment.a);
            sheet.index.near(Bounds::of(&[edge.segment.a, edge.segment.b]).grown(TOUCHING), |other| {
                let other = sheet.index.edges()[other];
                let theirs = sheet.owner[other.island as usize];
                if theirs > mine && segment_segment(edge.segment, other.segment).length <= TOUCHING as f64 {
                    pairs.push((mine, theirs));
                }
            });
            pairs.dedup();
        }
        for (contour, at) in first {
            let mine = sheet.owner[contour as usize];
            let round = sheet.index.enclosers(at).into_iter().map(|c| sheet.owner[c as usize]);
            pairs.extend(round.filter(|o| *o != mine).map(|o| (mine, o)));
        }
        for (a, b) in pairs {
            self.next[a as usize].push(b);
            self.next[b as usize].push(a);
        }
    }

    fn join_by_holes(&mut self, net: u32, ground: &Ground<'_>) {
        for (i, hole) in ground.board.holes.iter().enumerate().filter(|(_, h)| h.plating == HolePlating::Plated) {
            let of_net =
                |t: &&touch::Touch| ground.geometry.copper[t.layer as usize].islands[t.island as usize].net == net;
            let layers: Vec<u32> = ground.touches.of(i as u32).iter().filter(of_net).map(|t| t.layer).collect();
            if layers.is_empty() {
                continue;
            }
            let reach = hole.finished.unwrap_or(0) / 2 + TOUCHING;
            let node = self.next.len() as u32;
            self.next.push(Vec::new());
            for layer in layers {
                for piece in self.touching(layer, &touch::axis(hole), reach) {
                    self.next[node as usize].push(piece);
                    self.next[piece as usize].push(node);
                }
            }
        }
    }

    /// The pieces a hole's wall meets or that lie round its axis.
    fn touching(&self, layer: u32, axis: &[Point], reach: Nm) -> Vec<u32> {
        let Some(sheet) = self.sheets.iter().find(|s| s.position == layer as usize) else { return Vec::new() };
        let mut found: Vec<u32> = sheet.index.enclosers(axis[0]);
        sheet.index.near(Bounds::of(axis).grown(reach), |e| {
            let edge = sheet.index.edges()[e];
            if crate::geometry::edges::path_segment(axis, edge.segment).length <= reach as f64 {
                found.push(edge.island);
            }
        });
        let mut pieces: Vec<u32> = found.into_iter().map(|c| sheet.owner[c as usize]).collect();
        pieces.sort_unstable();
        pieces.dedup();
        pieces
    }
}

/// Whether a corner of a drawn object belongs to an island of the net.
fn is_on(net: u32, position: usize, corner: Point, ground: &Ground<'_>) -> bool {
    let index = &ground.copper[position];
    let near = index.nearest(&[corner], TOUCHING, |_, _| true).map(|(e, _)| index.edges()[e].island);
    let island = near.or_else(|| index.island_at(corner));
    island.is_some_and(|i| ground.geometry.copper[position].islands[i as usize].net == net)
}

fn piece(image: &Image, object: &Object, drawn: &[Vec<Point>], layer: LayerRef, file: u32) -> Piece {
    let middle = |a: Point, b: Point| Point::new(a.x + (b.x - a.x) / 2, a.y + (b.y - a.y) / 2);
    let bounds = bounds_of(drawn);
    let pen = |aperture: u32| match image.apertures.get(aperture as usize).map(|a| &a.shape) {
        Some(ApertureShape::Circle { diameter, .. }) => Some(*diameter),
        _ => None,
    };
    let (at, width) = match &object.shape {
        Shape::Draw { from, to, aperture, .. } => (middle(*from, *to), pen(*aperture)),
        Shape::Arc { aperture, .. } => (middle(bounds.min, bounds.max), pen(*aperture)),
        Shape::Flash { at, .. } => (*at, None),
        Shape::Region { .. } => (middle(bounds.min, bounds.max), None),
    };
    Piece { at, layer, area: engine::area_mm2(drawn), width, source: Source { file, line: object.line } }
}
