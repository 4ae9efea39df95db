//! An outer side of the board with its mask: what the recognisers of mask matters look at.

use landgap_parser::{Image, Nm, Point};

use super::lands::{Land, Places};
use super::{Ground, Lands};
use crate::board::{Board, CopperLayer, Side};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, LayerImage, shape};

/// A side with copper and mask.
pub(crate) struct Face<'a> {
    /// Top or bottom.
    pub side: Side,
    /// Its copper.
    pub copper: &'a CopperLayer,
    /// Position of its mask in `Geometry::masks`.
    pub position: usize,
    /// Edges of its openings.
    pub mask: &'a EdgeIndex,
    /// Its openings.
    pub openings: &'a LayerImage,
    /// Middles of its paste; `None` where the set has none for this side.
    pub paste: Option<Places>,
}

/// The sides that have both copper and mask.
pub(crate) fn faces<'a>(board: &'a Board, ground: &Ground<'a>) -> Vec<Face<'a>> {
    let sides = ground.geometry.masks.iter().zip(ground.masks).enumerate();
    sides.filter_map(|(position, (openings, mask))| face(board, position, openings, mask)).collect()
}

fn face<'a>(board: &'a Board, position: usize, openings: &'a LayerImage, mask: &'a EdgeIndex) -> Option<Face<'a>> {
    let crate::board::LayerRef::Mask(side) = openings.layer else { return None };
    let copper = board.copper.iter().find(|c| c.side == side && !c.negative)?;
    let files: Vec<u32> = board.pastes.iter().filter(|p| p.side == side).map(|p| p.file).collect();
    let paste = Some(Places::of_images(board, files.into_iter())).filter(|p| !p.is_empty());
    Some(Face { side, copper, position, mask, openings, paste })
}

impl Face<'_> {
    /// Lands set down on this side.
    pub(crate) fn lands<'l>(&self, lands: &'l Lands) -> impl Iterator<Item = &'l Land> + use<'l> {
        let number = self.copper.number;
        lands.all().iter().filter(move |l| l.layer == number)
    }

    /// The image of its copper.
    pub(crate) fn image<'b>(&self, board: &'b Board) -> Option<&'b Image> {
        board.images.get(self.copper.file as usize)?.as_ref()
    }

    /// Whether paste lies on a land: its middle, or a window of a divided one, is on it.
    pub(crate) fn pasted(&self, land: &Land) -> bool {
        let reach = land.size.0.max(land.size.1) / 2;
        let on = |p: Point| (p.x - land.at.x).abs() * 2 <= land.size.0 && (p.y - land.at.y).abs() * 2 <= land.size.1;
        self.paste.as_ref().is_some_and(|paste| paste.at_within(land.at, reach).any(on))
    }

    /// Whether no opening touches a shape: neither its middle nor any part of its area lies in one.
    pub(crate) fn covers(&self, middle: Point, contours: &[Vec<Point>]) -> bool {
        if self.mask.island_at(middle).is_some() {
            return false;
        }
        let bounds = crate::geometry::image::bounds_of(contours);
        let mut near = Vec::new();
        self.mask.near(bounds, |i| near.push(i));
        if near.is_empty() {
            return true;
        }
        let area = EdgeIndex::of_contours(contours);
        near.iter().map(|i| self.mask.edges()[*i].segment).all(|s| {
            let apart = area.nearest(&[s.a, s.b], 1, |_, _| true).is_none();
            apart && area.enclosing(s.a).is_multiple_of(2)
        })
    }

    /// The same for an object of the copper image.
    pub(crate) fn covers_land(&self, image: &Image, land: &Land) -> bool {
        let Some(object) = image.objects.get(land.object as usize) else { return false };
        let half = Point::new(land.size.0 / 2, land.size.1 / 2);
        let box_ = Bounds {
            min: Point::new(land.at.x - half.x, land.at.y - half.y),
            max: Point::new(land.at.x + half.x, land.at.y + half.y),
        };
        if self.mask.island_at(land.at).is_some() {
            return false;
        }
        let mut meets = false;
        self.mask.near(box_, |_| meets = true);
        !meets || self.covers(land.at, &shape::contours(image, object))
    }

    /// Share of the board's box that is open.
    pub(crate) fn open_mm2(&self) -> f64 {
        self.openings.islands.iter().map(|i| crate::geometry::engine::area_mm2(&i.contours)).sum()
    }
}

/// Whether a hole stands at the middle of a land.
pub(crate) fn hole_at(holes: &Places, land: &Land, reach: Nm) -> Option<u32> {
    holes.within(land.at, reach).next()
}
