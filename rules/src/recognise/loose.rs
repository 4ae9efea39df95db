//! Pieces of copper that meet no hole, with what drew them.

use std::collections::{BTreeSet, HashMap};

use landgap_parser::{ApertureShape, Image, Nm, Object, Point, Polarity, Shape};

use super::Ground;
use crate::board::{Board, CopperLayer, Source};
use crate::geometry::{Bounds, Island, flatten};

/// Larger pieces are areas or long tracks.
const LARGEST: Nm = 15_000_000;
/// Side of the squares by which pieces are found.
const SQUARE: Nm = 2_000_000;
/// Boxes of the final image are rounded.
const ROUNDING: Nm = 2_000;

/// A piece of copper that meets no hole.
pub(super) struct Piece<'a> {
    /// Copper layer from the top.
    pub layer: u32,
    /// Its shape.
    pub shape: &'a Island,
    /// Its index on its layer.
    pub island: u32,
    /// Strokes that drew it.
    pub strokes: u32,
    /// Filled areas that drew it.
    pub fills: u32,
    /// Lands in it.
    pub flashes: u32,
    /// The narrowest pen.
    pub pen: Option<Nm>,
    /// First field of `.AperFunction` of its objects, the last that has one.
    pub function: Option<&'a str>,
    /// A line that drew it.
    pub source: Source,
}

impl Piece<'_> {
    pub(super) const fn bounds(&self) -> Bounds {
        self.shape.bounds
    }

    /// Twice its area over the length of its boundary: how wide the stroke is that would make it.
    pub(super) fn breadth(&self) -> f64 {
        let around = |c: &Vec<Point>| c.iter().zip(c.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum::<f64>();
        let area = crate::geometry::engine::area_mm2(&self.shape.contours) * 1e12;
        2.0 * area / self.shape.contours.iter().map(around).sum::<f64>().max(1.0)
    }
}

/// Every such piece of moderate size, by layer and place.
pub(super) fn pieces<'a>(board: &'a Board, ground: &Ground<'a>) -> Vec<Piece<'a>> {
    let met: BTreeSet<(u32, u32)> =
        (0..board.holes.len() as u32).flat_map(|i| ground.touches.of(i)).map(|t| (t.layer, t.island)).collect();
    let layers: Vec<&CopperLayer> = board.copper.iter().collect();
    let of_layer = |layer: &&'a CopperLayer| on_layer(board, ground, layer, &met);
    crate::measure::in_parallel(&layers, of_layer).into_iter().flatten().collect()
}

fn on_layer<'a>(
    board: &'a Board,
    ground: &Ground<'a>,
    layer: &CopperLayer,
    met: &BTreeSet<(u32, u32)>,
) -> Vec<Piece<'a>> {
    let position = layer.number - 1;
    let islands = &ground.geometry.copper[position as usize].islands;
    let small = |b: &Bounds| b.width() <= LARGEST && b.height() <= LARGEST;
    let loose = (0u32..).zip(islands).filter(|(i, s)| small(&s.bounds) && !met.contains(&(position, *i)));
    let source = Source { file: layer.file, line: 0 };
    let piece = |(island, shape)| Piece {
        layer: layer.number,
        shape,
        island,
        strokes: 0,
        fills: 0,
        flashes: 0,
        pen: None,
        function: None,
        source,
    };
    let mut pieces: Vec<Piece<'a>> = loose.map(piece).collect();
    let Some(Some(image)) = board.images.get(layer.file as usize) else { return pieces };
    if layer.negative || pieces.is_empty() {
        return pieces;
    }
    let squares = squares(&pieces);
    for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
        let own = extent(object);
        let here = squares.get(&(own.min.x.div_euclid(SQUARE), own.min.y.div_euclid(SQUARE)));
        let holds = |b: Bounds| {
            let b = b.grown(ROUNDING);
            b.min.x <= own.min.x && b.min.y <= own.min.y && b.max.x >= own.max.x && b.max.y >= own.max.y
        };
        let found = here.into_iter().flatten().filter(|i| holds(pieces[**i].bounds()));
        // One piece may lie in the box of another: the smaller box is its own.
        let area = |i: &&usize| i128::from(pieces[**i].bounds().width()) * i128::from(pieces[**i].bounds().height());
        if let Some(&i) = found.min_by_key(area) {
            add(&mut pieces[i], image, object);
        }
    }
    pieces
}

/// Pieces by the squares their boxes meet.
fn squares(pieces: &[Piece<'_>]) -> HashMap<(Nm, Nm), Vec<usize>> {
    let mut squares: HashMap<(Nm, Nm), Vec<usize>> = HashMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        let b = piece.bounds().grown(ROUNDING);
        for x in b.min.x.div_euclid(SQUARE)..=b.max.x.div_euclid(SQUARE) {
            for y in b.min.y.div_euclid(SQUARE)..=b.max.y.div_euclid(SQUARE) {
                squares.entry((x, y)).or_default().push(i);
            }
        }
    }
    squares
}

/// The box round the middle line of a stroke, the corners of an area or the middle of a flash.
fn extent(object: &Object) -> Bounds {
    match &object.shape {
        Shape::Flash { at, .. } => Bounds::of(&[*at]),
        Shape::Draw { from, to, .. } => Bounds::of(&[*from, *to]),
        Shape::Arc { arc, .. } => Bounds::of(&[arc.from, arc.to]),
        Shape::Region { contours, offset } => {
            let moved = |p: Point| Point::new(p.x + offset.x, p.y + offset.y);
            Bounds::of(&contours.iter().flat_map(flatten::contour).map(moved).collect::<Vec<_>>())
        }
    }
}

fn add<'a>(piece: &mut Piece<'a>, image: &'a Image, object: &Object) {
    match object.shape {
        Shape::Flash { .. } => piece.flashes += 1,
        Shape::Region { .. } => piece.fills += 1,
        Shape::Draw { aperture, .. } | Shape::Arc { aperture, .. } => {
            piece.strokes += 1;
            let pen = image.apertures.get(aperture as usize).map(|a| &a.shape);
            if let Some(ApertureShape::Circle { diameter, .. }) = pen {
                piece.pen = Some(piece.pen.map_or(*diameter, |p| p.min(*diameter)));
            }
        }
    }
    piece.source.line = if piece.source.line == 0 { object.line } else { piece.source.line.min(object.line) };
    let stated = image.attribute(object, ".AperFunction").and_then(|v| v.first()).map(String::as_str);
    piece.function = stated.or(piece.function);
}
