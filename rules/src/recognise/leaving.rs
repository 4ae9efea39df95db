//! Lands from which copper leads away, each with the ways round it.

use landgap_parser::{Nm, Point};

use super::collar::{Collar, Core, hull};
use super::lands::{Places, SAME_PLACE};
use super::{Ground, Lands};
use crate::board::{Board, Source};
use crate::geometry::shape;
use crate::measure::in_parallel;
use crate::measure::touch::axis;

/// A piece of copper no larger than its land by more than this is the land alone.
const ALONE: Nm = 10_000;

/// A land from which copper leads away.
pub(super) struct Subject {
    /// Copper layer from the top.
    pub layer: u32,
    /// Piece of copper it lies in.
    pub island: u32,
    /// Its middle.
    pub middle: Point,
    /// The hole at its middle.
    pub hole: Option<u32>,
    /// Its smaller extent.
    pub least: Nm,
    /// Where it stands in the data.
    pub source: Source,
    from: From,
}

enum From {
    /// A flash, by index into the lands.
    Land(usize),
    /// The land round a hole that no flash shows, by number of the hole and its radius.
    Hole(u32, f64),
}

impl Subject {
    /// The shape of the land.
    fn core(&self, board: &Board, lands: &Lands) -> Option<Core> {
        match self.from {
            From::Hole(hole, radius) => {
                Some(Core::Disc(crate::geometry::distance::float(board.holes[hole as usize].at()), radius))
            }
            From::Land(number) => {
                let land = &lands.all()[number];
                if land.round {
                    return Some(Core::Disc(crate::geometry::distance::float(land.at), land.least() as f64 / 2.0));
                }
                let image = board.images.get(land.source.file as usize)?.as_ref()?;
                let contours = shape::contours(image, image.objects.get(land.object as usize)?);
                let points: Vec<_> = contours.into_iter().flatten().collect();
                (points.len() > 2).then(|| Core::Hull(hull(&points)))
            }
        }
    }
}

/// Looks at every land from which copper leads away, by layer and place.
pub(super) fn each<T: Send>(
    board: &Board,
    ground: &Ground<'_>,
    lands: &Lands,
    reach: impl Fn(&Subject) -> Nm + Sync,
    look: impl Fn(&Subject, &Collar) -> Option<T> + Sync,
) -> Vec<T> {
    let subjects = subjects(board, ground, lands);
    let parts: Vec<&[Subject]> = subjects.chunks(256).collect();
    let one = |subject: &Subject| {
        let index = &ground.copper[subject.layer as usize - 1];
        let collar = Collar::new(index, subject.island, subject.core(board, lands)?, reach(subject))?;
        look(subject, &collar)
    };
    in_parallel(&parts, |part| part.iter().filter_map(one).collect::<Vec<_>>()).into_iter().flatten().collect()
}

fn subjects(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Subject> {
    let holes = Places::of_holes(board);
    let mut out = Vec::new();
    let mut last = None;
    for (number, land) in lands.all().iter().enumerate() {
        let Some(island) = land.island else { continue };
        // The same land set down twice is one.
        let twin = last.replace((land.at, land.layer, land.aperture));
        let bounds = ground.geometry.copper[land.layer as usize - 1].islands[island as usize].bounds;
        let alone = bounds.width() <= land.size.0 + ALONE && bounds.height() <= land.size.1 + ALONE;
        if alone || twin == last || land.least() < 2 * ALONE {
            continue;
        }
        let (layer, middle, least, source) = (land.layer, land.at, land.least(), land.source);
        let hole = holes.within(land.at, SAME_PLACE).next();
        out.push(Subject { layer, island, middle, hole, least, source, from: From::Land(number) });
    }
    for (number, hole) in (0u32..).zip(&board.holes).filter(|(_, h)| axis(h).len() == 1) {
        let radius = hole.finished.unwrap_or(0) as f64 / 2.0;
        for touch in ground.touches.of(number).iter().filter(|t| t.reach > radius.max(ALONE as f64)) {
            let layer = touch.layer + 1;
            let far = touch.reach >= crate::measure::touch::LAND_REACH as f64;
            if far || lands.at(hole.at()).any(|l| l.layer == layer) {
                continue;
            }
            let least = (2.0 * touch.reach).round() as Nm;
            let from = From::Hole(number, touch.reach);
            let (middle, island, source) = (hole.at(), touch.island, hole.source);
            out.push(Subject { layer, island, middle, hole: Some(number), least, source, from });
        }
    }
    out
}
