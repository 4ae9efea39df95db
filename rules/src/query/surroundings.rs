//! What a place looks like: the copper or mask within half a millimetre, however turned or mirrored.
//!
//! The same footprint used forty times is one picture. The picture is sampled on a fixed grid round
//! the place; of its eight orientations the least is taken. Samples keep off the round numbers on
//! which edges usually lie, so that rounding on export seldom flips one. Equal names mean equal
//! pictures; unequal names may still be the same footprint, and then only cost a further line in a list.

use std::cell::RefCell;
use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};
use static_aabb2d_index::{StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::{QueryPlace, Surroundings, fingerprint};
use crate::board::LayerRef;
use crate::geometry::{Geometry, LayerImage};

/// Samples to each side of the place.
const ARM: i64 = 12;
/// Distance between samples.
const STEP: Nm = 40_000;
/// The first sample's distance from the place.
const FIRST: Nm = 17_300;
/// Samples across.
const ACROSS: usize = 2 * ARM as usize;
/// Places of one query that are looked at; the rest stay unnamed.
const MOST: usize = 400;

type Picture = [[bool; ACROSS]; ACROSS];

/// Pictures of one board's layers.
pub(super) struct Pictures<'a> {
    geometry: &'a Geometry,
    found: RefCell<BTreeMap<LayerRef, Option<StaticAABB2DIndex<i64>>>>,
}

impl<'a> Pictures<'a> {
    pub(super) fn new(geometry: &'a Geometry) -> Self {
        Self { geometry, found: RefCell::default() }
    }

    /// The name of what a place looks like on its layer.
    pub(super) fn name(&self, place: &QueryPlace) -> Option<String> {
        let layer = place.layer?;
        let image = self.geometry.image(layer)?;
        let mut found = self.found.borrow_mut();
        let index = found.entry(layer).or_insert_with(|| index(image)).as_ref()?;
        let picture = sampled(image, index, place.at);
        Some(format!("{:016x}", fingerprint::fnv(&least(&picture)) as u64))
    }

    /// The places of a query by what they look like, the most frequent first.
    pub(super) fn sorted(&self, places: &[QueryPlace]) -> Vec<Surroundings> {
        let mut by_name: BTreeMap<String, Vec<u32>> = BTreeMap::new();
        for (number, place) in (0..).zip(places.iter().take(MOST)) {
            if let Some(name) = self.name(place) {
                by_name.entry(name).or_default().push(number);
            }
        }
        let mut all: Vec<Surroundings> =
            by_name.into_iter().map(|(name, places)| Surroundings { name, places }).collect();
        all.sort_by_key(|s| (std::cmp::Reverse(s.places.len()), s.places[0]));
        all
    }
}

fn index(image: &LayerImage) -> Option<StaticAABB2DIndex<i64>> {
    let mut builder = StaticAABB2DIndexBuilder::new(image.islands.len());
    image.islands.iter().for_each(|i| _ = builder.add(i.bounds.min.x, i.bounds.min.y, i.bounds.max.x, i.bounds.max.y));
    if image.islands.is_empty() { None } else { builder.build().ok() }
}

/// Where sample `i` lies from the place; symmetric, so that turning and mirroring map samples to samples.
const fn offset(i: usize) -> Nm {
    let from_middle = i as i64 - ARM;
    if from_middle >= 0 { FIRST + from_middle * STEP } else { -(FIRST + (-from_middle - 1) * STEP) }
}

fn sampled(image: &LayerImage, index: &StaticAABB2DIndex<i64>, at: Point) -> Picture {
    let reach = offset(ACROSS - 1);
    let mut picture = [[false; ACROSS]; ACROSS];
    let mut near = index.query(at.x - reach, at.y - reach, at.x + reach, at.y + reach);
    near.sort_unstable();
    for contour in near.into_iter().flat_map(|i| &image.islands[i].contours) {
        let next = contour.iter().cycle().skip(1);
        for (a, b) in contour.iter().zip(next) {
            cross(&mut picture, at, *a, *b);
        }
    }
    picture
}

/// Flips every sample to the right of an edge: after all edges those inside are set.
fn cross(picture: &mut Picture, at: Point, a: Point, b: Point) {
    let (low, high) = if a.y <= b.y { (a, b) } else { (b, a) };
    let reach = offset(ACROSS - 1);
    if high.y < at.y - reach || low.y > at.y + reach || low.y == high.y {
        return;
    }
    for (row, line) in picture.iter_mut().enumerate() {
        let y = at.y + offset(row);
        if y < low.y || y >= high.y {
            continue;
        }
        let part = i128::from(high.x - low.x) * i128::from(y - low.y) / i128::from(high.y - low.y);
        let x = low.x + part as Nm;
        for (column, cell) in line.iter_mut().enumerate() {
            *cell ^= at.x + offset(column) >= x;
        }
    }
}

/// Where a sample of the turned or mirrored picture comes from: row, column, last of either.
type Way = fn(usize, usize, usize) -> (usize, usize);

/// The least of the eight orientations, as text.
fn least(picture: &Picture) -> String {
    let last = ACROSS - 1;
    let ways: [Way; 8] = [
        |r, c, _| (r, c),
        |r, c, l| (c, l - r),
        |r, c, l| (l - r, l - c),
        |r, c, l| (l - c, r),
        |r, c, l| (r, l - c),
        |r, c, _| (c, r),
        |r, c, l| (l - r, c),
        |r, c, l| (l - c, l - r),
    ];
    let text = |way: Way| -> String {
        let cells = (0..ACROSS).flat_map(|r| (0..ACROSS).map(move |c| way(r, c, last)));
        cells.map(|(r, c)| if picture[r][c] { '1' } else { '0' }).collect()
    };
    ways.into_iter().map(text).min().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::board::Source;
    use crate::geometry::{Bounds, Island};

    /// An L of two bars round a place, turned by quarter turns, mirrored, and moved.
    fn shown(turns: usize, mirrored: bool, by: Point) -> String {
        let corners = [(-300, -200), (250, -200), (250, -100), (-100, -100), (-100, 350), (-300, 350)];
        let mut contour: Vec<Point> = corners
            .iter()
            .map(|(x, y)| {
                let (mut x, mut y) = (x * 1000 + 7, y * 1000 + 3);
                for _ in 0..turns {
                    (x, y) = (-y, x);
                }
                Point::new(if mirrored { -x } else { x } + by.x, y + by.y)
            })
            .collect();
        if mirrored {
            contour.reverse();
        }
        let bounds = Bounds::of(&contour);
        let island = Island { contours: vec![contour], bounds, net: 0, source: Source { file: 0, line: 0 } };
        let layer = LayerRef::Copper(1);
        let image = LayerImage { layer, islands: vec![island], step: 1 };
        let geometry = Geometry { copper: vec![image], ..Geometry::default() };
        let place = crate::rule::doubt::bare_place(by, Vec::new());
        Pictures::new(&geometry).name(&QueryPlace { layer: Some(layer), ..place }).expect("a picture")
    }

    #[test]
    fn a_picture_keeps_its_name_when_turned_mirrored_and_moved() {
        let first = shown(0, false, Point::new(0, 0));
        for turns in 0..4 {
            for mirrored in [false, true] {
                assert_eq!(shown(turns, mirrored, Point::new(12_345_678, -987_654)), first, "{turns} {mirrored}");
            }
        }
    }

    #[test]
    fn another_picture_has_another_name() {
        let near = shown(0, false, Point::new(0, 0));
        let contour = [(-300, -200), (250, -200), (250, 350), (-300, 350)].map(|(x, y)| Point::new(x * 1000, y * 1000));
        let island = Island {
            bounds: Bounds::of(&contour),
            contours: vec![contour.to_vec()],
            net: 0,
            source: Source { file: 0, line: 0 },
        };
        let layer = LayerRef::Copper(1);
        let geometry =
            Geometry { copper: vec![LayerImage { layer, islands: vec![island], step: 1 }], ..Geometry::default() };
        let place = crate::rule::doubt::bare_place(Point::new(0, 0), Vec::new());
        assert_ne!(Pictures::new(&geometry).name(&QueryPlace { layer: Some(layer), ..place }), Some(near));
    }
}
