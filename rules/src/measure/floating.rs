//! Floating copper: pieces that meet no hole and hold no land.
//!
//! Method: an island counts as held where a hole of any kind touches it, where a flash stands on it,
//! or, on an outer layer, where the mask is open over any part of it. Only copper on the board is
//! looked at: inside the edge, or without one inside the box round all holes.

use landgap_parser::{Nm, Point, Polarity, Shape};

use super::{Bench, in_parallel};
use crate::board::{Feature, FeatureKind, LayerRef, Side};
use crate::fact::Floating;
use crate::geometry::distance::crosses;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, Island, engine};

/// Floating copper of every layer, and the layers that could not be looked at.
pub(super) fn of(bench: &Bench<'_>) -> (Vec<Floating>, Vec<(LayerRef, String)>) {
    let mut drilled: Vec<Vec<bool>> = bench.geometry.copper.iter().map(|l| vec![false; l.islands.len()]).collect();
    for hole in 0..bench.board.holes.len() as u32 {
        for touch in bench.touches.of(hole) {
            drilled[touch.layer as usize][touch.island as usize] = true;
        }
    }
    let layers: Vec<usize> = (0..bench.geometry.copper.len()).collect();
    let found = in_parallel(&layers, |&i| on_layer(bench, i, &drilled[i]));
    let (mut all, mut not_looked) = (Vec::new(), Vec::new());
    for (layer, result) in bench.geometry.copper.iter().zip(found) {
        match result {
            Ok(floating) => all.extend(floating),
            Err(why) => not_looked.push((layer.layer, why)),
        }
    }
    (all, not_looked)
}

fn on_layer(bench: &Bench<'_>, position: usize, drilled: &[bool]) -> Result<Vec<Floating>, String> {
    let opened = match bench.board.copper[position].side {
        Side::Inner => None,
        side => Some(openings(bench, side).ok_or_else(|| format!("no {} mask in the data", side.word()))?),
    };
    let image = &bench.geometry.copper[position];
    let on_board = on_board(bench);
    let flashes = flashes(bench, position);
    let mut out = Vec::new();
    for (island, _) in image.islands.iter().zip(drilled).filter(|(_, drilled)| !**drilled) {
        let held = flashes.on(island) || opened.is_some_and(|mask| is_opened(mask, island));
        if held || !on_board(island) {
            continue;
        }
        let at = inner_point(island);
        out.push(Floating {
            layer: image.layer,
            at,
            size: (island.bounds.width(), island.bounds.height()),
            area_mm2: engine::area_mm2(&island.contours),
            net: island.net,
            taken_for: explained(bench, image.layer, island),
            source: bench.copper_lines[position].at(island.contours[0][0]),
        });
    }
    out.sort_by_key(|f| f.at);
    Ok(out)
}

/// The openings of one side's mask, if the data have it.
fn openings<'a>(bench: &Bench<'a>, side: Side) -> Option<&'a EdgeIndex> {
    let position = bench.geometry.masks.iter().position(|m| m.layer == LayerRef::Mask(side))?;
    bench.masks.get(position)
}

/// Tells whether an island lies on the board.
fn on_board<'a>(bench: &'a Bench<'_>) -> impl Fn(&Island) -> bool + use<'a> {
    let mut drilled = Bounds::EMPTY;
    bench.board.holes.iter().for_each(|h| drilled.add(h.at()));
    move |island| match bench.edge {
        Some(edge) => edge.holds(inner_point(island)),
        None => {
            let b = island.bounds;
            drilled.meets(&Bounds { min: b.min, max: b.min }) && drilled.meets(&Bounds { min: b.max, max: b.max })
        }
    }
}

/// Middles of all dark flashes of a layer, by place.
struct Flashes {
    list: Vec<Point>,
}

fn flashes(bench: &Bench<'_>, position: usize) -> Flashes {
    let layer = &bench.board.copper[position];
    let image = bench.board.images.get(layer.file as usize).and_then(Option::as_ref).filter(|_| !layer.negative);
    let dark = image.into_iter().flat_map(|i| &i.objects).filter(|o| o.polarity == Polarity::Dark);
    let middle = |shape: &Shape| if let Shape::Flash { at, .. } = shape { Some(*at) } else { None };
    let mut list: Vec<Point> = dark.filter_map(|o| middle(&o.shape)).collect();
    list.sort_unstable();
    list.dedup();
    Flashes { list }
}

impl Flashes {
    /// Whether one stands on an island.
    fn on(&self, island: &Island) -> bool {
        let Bounds { min, max } = island.bounds;
        let start = self.list.partition_point(|p| p.x < min.x);
        let near = self.list[start..].iter().take_while(|p| p.x <= max.x).filter(|p| min.y <= p.y && p.y <= max.y);
        near.into_iter().any(|p| holds(island, *p))
    }
}

/// Whether a point lies on an island: inside an odd number of its contours.
fn holds(island: &Island, p: Point) -> bool {
    island.contours.iter().filter(|c| encloses(c, p)).count() % 2 == 1
}

/// Whether a closed contour goes round a point.
pub(super) fn encloses(contour: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (a, b) in contour.iter().zip(contour.iter().cycle().skip(1)) {
        if (a.y > p.y) != (b.y > p.y) {
            let left = i128::from(b.x - a.x) * i128::from(p.y - a.y) - i128::from(p.x - a.x) * i128::from(b.y - a.y);
            inside ^= (left > 0) == (b.y > a.y);
        }
    }
    inside
}

/// Whether any opening of a mask reaches an island.
fn is_opened(mask: &EdgeIndex, island: &Island) -> bool {
    if mask.island_at(island.contours[0][0]).is_some() {
        return true;
    }
    let mut found = false;
    mask.near(island.bounds, |i| found = found || holds(island, mask.edges()[i].segment.a));
    found || island.contours.iter().any(|contour| cut(mask, contour))
}

/// Whether a mask's boundary crosses a contour.
fn cut(mask: &EdgeIndex, contour: &[Point]) -> bool {
    contour.iter().zip(contour.iter().cycle().skip(1)).any(|(a, b)| {
        let own = crate::geometry::distance::Segment { a: *a, b: *b };
        let mut found = false;
        mask.near(Bounds::of(&[*a, *b]), |i| found = found || crosses(own, mask.edges()[i].segment));
        found
    })
}

/// A point on the copper, the middle of its box where that lies on it.
fn inner_point(island: &Island) -> Point {
    let b = island.bounds;
    let middle = Point::new(half_way(b.min.x, b.max.x), half_way(b.min.y, b.max.y));
    if holds(island, middle) { middle } else { island.contours[0][0] }
}

const fn half_way(a: Nm, b: Nm) -> Nm {
    a + (b - a) / 2
}

/// The feature an island is, or is part of, that is meant to stand alone.
fn explained(bench: &Bench<'_>, layer: LayerRef, island: &Island) -> Option<FeatureKind> {
    let alone = |kind: FeatureKind| {
        matches!(kind, FeatureKind::Fiducial | FeatureKind::CopperText | FeatureKind::Thieving | FeatureKind::Rail)
    };
    let here = |on: Option<LayerRef>| on.is_none_or(|l| l == layer);
    let features = bench.board.features.iter().filter(|f| here(f.layer) && alone(f.kind));
    let within = |f: &Feature| f.covers(island.bounds.min) && f.covers(island.bounds.max);
    let mut named = features.filter(|f| within(f) || f.layer.is_some() && holds(island, f.at));
    named.next().map(|f| f.kind)
}
