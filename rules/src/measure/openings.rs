//! What stands in each opening of the masks: lands, their nets, and whether they are soldered from the surface.

use landgap_parser::Point;

use super::Bench;
use crate::board::Side;
use crate::recognise::face::{Face, faces, hole_at};
use crate::recognise::lands::{Land, Lands, Places, SAME_PLACE};

/// A land in an opening.
pub(super) struct InOpening {
    /// Its middle.
    pub at: Point,
    /// No hole stands in it, and where the set has paste, paste is printed on it.
    pub soldered: bool,
}

/// One opening.
#[derive(Default)]
pub(super) struct Opening {
    /// Nets of the lands in it, in order.
    pub nets: Vec<u32>,
    /// The lands in it.
    pub lands: Vec<InOpening>,
}

/// The openings of one side.
pub(super) struct SideOpenings<'a> {
    /// The side with its mask.
    pub face: Face<'a>,
    /// By number of the opening.
    pub list: Vec<Opening>,
}

/// The openings of every side that has copper and mask.
pub(super) struct Openings<'a> {
    sides: Vec<SideOpenings<'a>>,
}

impl<'a> Openings<'a> {
    pub fn of(bench: &Bench<'a>) -> Self {
        let lands = Lands::of(bench.board);
        let holes = Places::of_holes(bench.board);
        let faces = faces(bench.board, &bench.ground());
        let sides = faces.into_iter().map(|face| of_side(bench, &lands, &holes, face)).collect();
        Self { sides }
    }

    pub fn sides(&self) -> impl Iterator<Item = &SideOpenings<'a>> {
        self.sides.iter()
    }

    pub fn side(&self, side: Side) -> Option<&SideOpenings<'a>> {
        self.sides.iter().find(|s| s.face.side == side)
    }
}

fn of_side<'a>(bench: &Bench<'a>, lands: &Lands, holes: &Places, face: Face<'a>) -> SideOpenings<'a> {
    let mut list: Vec<Opening> = Vec::new();
    list.resize_with(face.openings.islands.len(), Opening::default);
    let position = face.copper.number as usize - 1;
    let (copper, image) = (&bench.copper[position], &bench.geometry.copper[position]);
    for land in face.lands(lands) {
        let Some(number) = face.mask.island_at(land.at) else { continue };
        let opening = &mut list[number as usize];
        let net = copper.island_at(land.at).map(|island| image.islands[island as usize].net);
        opening.nets.extend(net.filter(|n| !opening.nets.contains(n)));
        opening.lands.push(InOpening { at: land.at, soldered: soldered(&face, holes, land) });
    }
    list.iter_mut().for_each(|o| o.nets.sort_unstable());
    SideOpenings { face, list }
}

fn soldered(face: &Face<'_>, holes: &Places, land: &Land) -> bool {
    hole_at(holes, land, SAME_PLACE.max(land.least() / 4)).is_none() && (face.paste.is_none() || face.pasted(land))
}
