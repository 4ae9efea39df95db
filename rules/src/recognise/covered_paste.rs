//! Paste that falls on mask: no opening lies under any part of it.

use landgap_parser::{Image, Object, Point, Polarity, Shape};

use super::face::{Face, faces};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::{Bounds, image::bounds_of, shape};

/// One feature a piece of paste that lies over copper. The size is its smaller extent.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let mut found = Vec::new();
    for face in faces(board, ground).iter().filter(|f| f.paste.is_some()) {
        for paste in board.pastes.iter().filter(|p| p.side == face.side) {
            let Some(Some(image)) = board.images.get(paste.file as usize) else { continue };
            let dark = image.objects.iter().filter(|o| o.polarity == Polarity::Dark);
            found.extend(dark.filter_map(|o| covered(ground, face, image, o, paste.file)));
        }
    }
    found
}

fn covered(ground: &Ground<'_>, face: &Face<'_>, image: &Image, object: &Object, file: u32) -> Option<Feature> {
    let flashed = match &object.shape {
        Shape::Flash { at, .. } => Some(*at),
        Shape::Region { .. } => None,
        // Strokes paint an area together; single ones say little, and lines are no paste.
        Shape::Draw { .. } | Shape::Arc { .. } => return None,
    };
    if flashed.is_some_and(|at| face.mask.island_at(at).is_some()) {
        return None;
    }
    let contours = shape::contours(image, object);
    let bounds = bounds_of(&contours);
    let middle = flashed.unwrap_or_else(|| middle_of(&bounds));
    let copper = ground.copper.get(face.copper.number as usize - 1)?;
    if bounds.is_empty() || !face.covers(middle, &contours) || copper.island_at(middle).is_none() {
        return None;
    }
    let mut feature = Feature::new(FeatureKind::CoveredPaste, Some(LayerRef::Mask(face.side)), middle)
        .because("paste is printed there, and copper lies under it")
        .because("no opening of the mask touches it");
    feature.size = Some(bounds.width().min(bounds.height()));
    feature.sources = vec![Source { file, line: object.line }];
    Some(feature)
}

const fn middle_of(bounds: &Bounds) -> Point {
    Point::new(bounds.min.x + bounds.width() / 2, bounds.min.y + bounds.height() / 2)
}
