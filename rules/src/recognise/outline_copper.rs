//! The board's edge drawn into a copper layer: strokes that run along it.

use landgap_parser::{Nm, Point, Polarity, Shape};

use super::{Ground, Lands};
use crate::board::{Board, CopperLayer, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::outline::Edge;

/// A stroke whose axis lies this near the edge runs on it.
const ON_EDGE: Nm = 10_000;

/// Layers in which strokes follow at least half of the outermost contour. The size is the stroke's width.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let (Some(edge), Some(outer)) = (ground.edge, ground.geometry.outline.first()) else { return Vec::new() };
    let round: f64 = outer.iter().zip(outer.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum();
    // An outline that was taken from a copper layer is asked about as such.
    let own = |layer: &&CopperLayer| !layer.negative && !board.outline.files.contains(&layer.file);
    board.copper.iter().filter(own).filter_map(|layer| on_layer(board, layer, edge, round)).collect()
}

fn on_layer(board: &Board, layer: &CopperLayer, edge: &Edge, round: f64) -> Option<Feature> {
    let image = board.images.get(layer.file as usize)?.as_ref()?;
    let on = |p: Point| edge.index.nearest(&[p], ON_EDGE, |_, _| true).is_some();
    let (mut length, mut width, mut sources) = (0.0, 0, Vec::new());
    for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
        let Shape::Draw { aperture, from, to, .. } = object.shape else { continue };
        let middle = Point::new(from.x.midpoint(to.x), from.y.midpoint(to.y));
        if from == to || !on(middle) || !on(from) || !on(to) {
            continue;
        }
        if let Some(landgap_parser::ApertureShape::Circle { diameter, .. }) =
            image.apertures.get(aperture as usize).map(|a| &a.shape)
        {
            // A pen of no size images nothing (Gerber layer format 2021.02, 4.3.2).
            if *diameter == 0 {
                continue;
            }
            width = width.max(*diameter);
        }
        length += from.distance(to);
        sources.push(Source { file: layer.file, line: object.line });
    }
    if length < round / 2.0 {
        return None;
    }
    let first = sources.first()?;
    let at = edge.index.edges().first()?.segment.a;
    let mut feature = Feature::new(FeatureKind::OutlineInCopper, Some(LayerRef::Copper(layer.number)), at).because(format!(
        "{} strokes of this layer run exactly along the board's edge, from line {} on; together they are {:.0} % as long as it",
        sources.len(),
        first.line,
        length / round * 100.0
    ));
    feature.size = Some(width);
    feature.sources = sources;
    Some(feature)
}
