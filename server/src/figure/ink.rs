//! The legend in a window. A legend's final image is not kept, so the part that is seen is built here.

use landgap_parser::Image;
use landgap_rules::board::{LayerRef, Side};
use landgap_rules::check::Measured;
use landgap_rules::geometry::image::{bounds_of, build};
use landgap_rules::geometry::{Bounds, Island, shape};

/// Pieces of ink of one side that meet a window.
pub fn seen(measured: &Measured, side: Side, window: &Bounds) -> Vec<Island> {
    let board = &measured.board;
    let files = board.legends.iter().filter(|l| l.side == side).map(|l| l.file);
    let images = files.filter_map(|file| Some((file, board.images.get(file as usize)?.as_ref()?)));
    images.flat_map(|(file, image)| build(&part(image, window), LayerRef::Legend(side), file).islands).collect()
}

/// The objects of an image that meet a window.
fn part(image: &Image, window: &Bounds) -> Image {
    let meets = |o: &&landgap_parser::Object| {
        let bounds = bounds_of(&shape::contours(image, o));
        !bounds.is_empty() && bounds.meets(window)
    };
    let objects = image.objects.iter().filter(meets).cloned().collect();
    Image { objects, apertures: image.apertures.clone(), step: image.step, ..Image::default() }
}
