//! Final images of the layers that are measured, several at a time. Legends are measured stroke by
//! stroke: theirs would be the costliest to build.

use std::sync::Mutex;

use landgap_parser::Point;

use super::in_parallel;
use crate::board::{Board, LayerRef};
use crate::check::Stage;
use crate::geometry::flatten::FLATTENING;
use crate::geometry::{Geometry, LayerImage, image, outline};

/// Builds the final images of copper and mask.
pub(super) fn build(board: &Board, progress: &dyn Fn(Stage)) -> Geometry {
    let wanted: Vec<(LayerRef, u32)> = copper(board).chain(sides(board)).collect();
    progress(Stage::Image(0, wanted.len()));
    let done = Mutex::new(0usize);
    let images = in_parallel(&wanted, |(layer, file)| {
        let built = board.images.get(*file as usize).and_then(Option::as_ref).map(|i| image::build(i, *layer, *file));
        if let Ok(mut count) = done.lock() {
            *count += 1;
        }
        built.unwrap_or_else(|| LayerImage { layer: *layer, islands: Vec::new(), step: 0 })
    });
    progress(Stage::Image(wanted.len(), wanted.len()));
    let mut geometry = Geometry { outline: outline_polygons(board), flattening: FLATTENING, ..Geometry::default() };
    for built in images {
        match built.layer {
            LayerRef::Copper(_) => geometry.copper.push(built),
            LayerRef::Mask(_) => merge(&mut geometry.masks, built),
            LayerRef::Legend(_) => {}
        }
    }
    geometry
}

fn copper(board: &Board) -> impl Iterator<Item = (LayerRef, u32)> + '_ {
    board.copper.iter().map(|l| (LayerRef::Copper(l.number), l.file))
}

fn sides(board: &Board) -> impl Iterator<Item = (LayerRef, u32)> + '_ {
    board.masks.iter().map(|l| (LayerRef::Mask(l.side), l.file))
}

/// Two files for one side add up to one image.
fn merge(layers: &mut Vec<LayerImage>, built: LayerImage) {
    match layers.iter_mut().find(|l| l.layer == built.layer) {
        Some(first) => first.islands.extend(built.islands),
        None => layers.push(built),
    }
}

fn outline_polygons(board: &Board) -> Vec<Vec<Point>> {
    outline::polygons(&board.outline)
}
