//! Inner copper drawn as a negative: what is drawn is free of copper.
//!
//! The file's own attribute settles it. Without one, the content does: a negative plane shows little
//! but clearances, each round one hole, so that as a positive it would join nothing to anything.

use landgap_parser::{Nm, Point};

use crate::board::{Board, Doubt, Hole, Side, Source};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{Bounds, Geometry, Island, LayerImage, engine};
use crate::query::words;

/// A plane drawn as a negative shows less than this share of the board's area.
const DRAWN_SHARE: f64 = 0.25;

/// At least this share of a negative's islands are clearances of holes, in hundredths.
const CLEARANCES: usize = 85;

/// At most this share of its islands join holes as a positive (frames, lines between areas), in hundredths.
const JOINING: usize = 3;

/// At least this share of its clearances are wider than the same hole's land outside, in hundredths.
const WIDER: usize = 85;

/// An island with more axes than this is no clearance, however wide.
const MANY: usize = 64;

/// How far to look from an axis for the edge of what it stands in.
const REACH: Nm = 10_000_000;

/// Widths that differ by less are the same, in nanometres.
const ROUNDING: f64 = 10_000.0;

/// Pieces smaller than this are rounding, not copper.
const SPECK_MM2: f64 = 1e-6;

/// How a layer was found to be a negative.
enum Negative {
    Stated,
    Seen(Counts),
}

/// What the islands of a layer are, where holes are drilled.
#[derive(Debug, Default)]
struct Counts {
    islands: usize,
    /// Islands round one hole, round several whose clearances overlap, or beside one as part of a broken ring.
    clearances: usize,
    /// Islands that as a positive would join holes.
    joining: usize,
    /// Islands with one hole that has a land outside.
    compared: usize,
    /// Those wider than that land.
    wider: usize,
    /// Share of the board's area.
    drawn: f64,
}

impl Counts {
    const fn say_negative(&self) -> bool {
        self.compared > 0
            && self.clearances * 100 >= self.islands * CLEARANCES
            && self.joining * 100 <= self.islands * JOINING
            && self.wider * 100 >= self.compared * WIDER
    }

    fn reason(&self, number: u32) -> String {
        format!(
            "copper {number}: {:.0} % of the area is drawn; {} of {} pieces lie round single holes or clearances that \
             overlap, {} would join holes, and {} of {} are wider than the same hole's land outside",
            self.drawn * 100.0,
            self.clearances,
            self.islands,
            self.joining,
            self.wider,
            self.compared
        )
    }
}

/// Finds the negatives among the inner copper layers and turns their images into copper.
pub(super) fn settle(board: &mut Board, geometry: &mut Geometry) {
    if board.copper.iter().all(|l| l.side != Side::Inner) {
        return;
    }
    let body = body(geometry);
    let area = body.iter().map(|c| engine::doubled_area(c)).sum::<i128>() as f64 / 2e12;
    let found: Vec<(usize, Negative)> =
        (0..geometry.copper.len()).filter_map(|i| Some((i, look(board, geometry, i, area)?))).collect();
    for (position, _) in &found {
        board.copper[*position].negative = true;
        turn(&mut geometry.copper[*position], &body, board.copper[*position].file);
    }
    tell(board, geometry, &found);
}

/// The board's material: the outline's contours, nested by odd and even; without an outline the box
/// round all copper.
fn body(geometry: &Geometry) -> Vec<Vec<Point>> {
    let mut nested: Vec<Vec<Point>> = if geometry.outline.is_empty() {
        box_of_copper(geometry).into_iter().collect()
    } else {
        (0..geometry.outline.len()).map(|i| turned(&geometry.outline, i)).collect()
    };
    nested = engine::union(&nested).into_iter().flatten().collect();
    nested
}

fn box_of_copper(geometry: &Geometry) -> Option<Vec<Point>> {
    let mut all = Bounds::EMPTY;
    for bounds in geometry.copper.iter().map(super::bounds_of).filter(|b| !b.is_empty()) {
        all.add(bounds.min);
        all.add(bounds.max);
    }
    let Bounds { min, max } = all;
    (!all.is_empty()).then(|| vec![min, Point::new(max.x, min.y), max, Point::new(min.x, max.y)])
}

/// A contour turned so that it adds where an even number of others encloses it, and takes away where odd.
fn turned(contours: &[Vec<Point>], number: usize) -> Vec<Point> {
    let contour = &contours[number];
    let bounds = Bounds::of(contour);
    let encloses = |outer: &Vec<Point>| {
        let around = Bounds::of(outer);
        let holds = around.min.x <= bounds.min.x
            && around.min.y <= bounds.min.y
            && around.max.x >= bounds.max.x
            && around.max.y >= bounds.max.y;
        holds && EdgeIndex::of_contours(std::slice::from_ref(outer)).enclosing(contour[0]) == 1
    };
    let depth = contours.iter().enumerate().filter(|(i, outer)| *i != number && encloses(outer)).count();
    let adds = depth % 2 == 0;
    if (engine::doubled_area(contour) > 0) == adds { contour.clone() } else { contour.iter().rev().copied().collect() }
}

fn look(board: &Board, geometry: &Geometry, position: usize, area: f64) -> Option<Negative> {
    let layer = &board.copper[position];
    if layer.side != Side::Inner {
        return None;
    }
    match stated(board, layer.file) {
        Some(true) => Some(Negative::Stated),
        Some(false) => None,
        None => count(board, geometry, position, area).map(Negative::Seen),
    }
}

/// What `.FilePolarity` says: whether the file is a negative.
fn stated(board: &Board, file: u32) -> Option<bool> {
    let image = board.images.get(file as usize)?.as_ref()?;
    match image.file_attribute(".FilePolarity")?.first()?.as_str() {
        "Negative" => Some(true),
        "Positive" => Some(false),
        _ => None,
    }
}

/// The counts of a layer whose content says it is a negative.
fn count(board: &Board, geometry: &Geometry, position: usize, area: f64) -> Option<Counts> {
    let drawn = &geometry.copper[position];
    let copper: f64 = drawn.islands.iter().map(|i| engine::area_mm2(&i.contours)).sum();
    if area <= 0.0 || copper >= area * DRAWN_SHARE {
        return None;
    }
    let axes = axes(board, position as u32 + 1);
    let drilled = Bounds::of(&axes);
    let index = EdgeIndex::new(&drawn.islands);
    let held = held(&axes, &index, drawn.islands.len());
    let mut counts = Counts { drawn: copper / area, ..Counts::default() };
    for (island, held) in drawn.islands.iter().zip(&held).filter(|(i, _)| i.bounds.meets(&drilled)) {
        counts.islands += 1;
        match held.as_slice() {
            [] => counts.clearances += usize::from(beside(island, &axes)),
            several if overlap(several) => counts.clearances += 1,
            _ => counts.joining += 1,
        }
    }
    (counts.compared, counts.wider) = wider(geometry, &held);
    counts.say_negative().then_some(counts)
}

/// Axes of the holes that pass a layer, by place, each once.
fn axes(board: &Board, number: u32) -> Vec<Point> {
    let mut axes: Vec<Point> =
        board.holes.iter().filter(|h| h.span.0 <= number && number <= h.span.1).map(Hole::at).collect();
    axes.sort_unstable();
    axes.dedup();
    axes
}

/// The axes each island holds, and how far each is from the island's edge.
fn held(axes: &[Point], index: &EdgeIndex, islands: usize) -> Vec<Vec<(Point, f64)>> {
    let mut held = vec![Vec::new(); islands];
    for at in axes {
        if let Some(island) = index.island_at(*at) {
            held[island as usize].push((*at, reach(index, *at, island)));
        }
    }
    held
}

fn reach(index: &EdgeIndex, at: Point, island: u32) -> f64 {
    index.nearest(&[at], REACH, |_, e| e.island == island).map_or(REACH as f64, |(_, span)| span.length)
}

/// Whether an island is part of a broken ring: an axis stands no further off than the island is long.
fn beside(island: &Island, axes: &[Point]) -> bool {
    let near = island.bounds.grown(island.bounds.width().max(island.bounds.height()));
    let from = axes.partition_point(|p| p.x < near.min.x);
    axes[from..].iter().take_while(|p| p.x <= near.max.x).any(|p| near.min.y <= p.y && p.y <= near.max.y)
}

/// Whether the discs round an island's axes overlap, so that nothing drawn need join them.
fn overlap(held: &[(Point, f64)]) -> bool {
    let meets = |a: &(Point, f64), b: &(Point, f64)| {
        let (dx, dy) = ((a.0.x - b.0.x) as f64, (a.0.y - b.0.y) as f64);
        dx.hypot(dy) <= a.1 + b.1
    };
    held.len() == 1
        || held.len() <= MANY && (0..held.len()).all(|i| (0..held.len()).any(|j| i != j && meets(&held[i], &held[j])))
}

/// Of the islands that hold one axis: how many have a land on an outer layer, and how many are wider than it.
fn wider(geometry: &Geometry, held: &[Vec<(Point, f64)>]) -> (usize, usize) {
    let last = geometry.copper.len() - 1;
    let outer = [0, last].map(|i| EdgeIndex::new(&geometry.copper[i].islands));
    let land =
        |at: Point| outer.iter().filter_map(|index| Some(reach(index, at, index.island_at(at)?))).reduce(f64::min);
    let pairs = held.iter().filter(|h| h.len() == 1).filter_map(|h| Some((h[0].1, land(h[0].0)?)));
    pairs.fold((0, 0), |(all, wide), (here, there)| (all + 1, wide + usize::from(here > there + ROUNDING)))
}

/// What is left of the material where the layer draws nothing.
fn turn(layer: &mut LayerImage, body: &[Vec<Point>], file: u32) {
    let dark: Vec<Vec<Point>> = layer.islands.drain(..).flat_map(|i| i.contours).collect();
    let left = engine::difference(body, &dark);
    layer.islands = left
        .into_iter()
        .filter(|p| engine::area_mm2(p) >= SPECK_MM2)
        .map(|contours| Island { bounds: Bounds::of(&contours[0]), contours, net: 0, source: Source { file, line: 0 } })
        .collect();
    layer.islands.sort_by_key(|i| (i.bounds.min, i.bounds.max, i.contours[0].len()));
}

/// Says what was assumed, and asks about the layers whose file does not say it itself.
fn tell(board: &mut Board, geometry: &Geometry, found: &[(usize, Negative)]) {
    if found.is_empty() {
        return;
    }
    let all: Vec<usize> = found.iter().map(|(i, _)| *i).collect();
    let within =
        if geometry.outline.is_empty() { "the box round all copper (there is no outline)" } else { "the outline" };
    let negatives = are(board, &all, "is a negative", "are negatives");
    board.assumptions.push(format!("{negatives}: copper is what lies inside {within} where the file draws nothing"));
    let seen: Vec<(usize, &Counts)> = found
        .iter()
        .filter_map(|(i, n)| if let Negative::Seen(counts) = n { Some((*i, counts)) } else { None })
        .collect();
    if !seen.is_empty() {
        let doubt = doubt(board, &seen);
        board.doubts.push(doubt);
    }
}

fn doubt(board: &Board, seen: &[(usize, &Counts)]) -> Doubt {
    let layers: Vec<usize> = seen.iter().map(|(i, _)| *i).collect();
    Doubt {
        rule: "unclear-polarity",
        seen: are(board, &layers, "looks drawn as a negative", "look drawn as negatives"),
        reasons: seen.iter().map(|(i, counts)| counts.reason(board.copper[*i].number)).collect(),
        sources: layers.iter().map(|i| Source { file: board.copper[*i].file, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![
            format!("{}: what is drawn is free of copper", are(board, &layers, "is a negative", "are negatives")),
            are(board, &layers, "is a positive as drawn", "are positives as drawn"),
        ],
    }
}

/// "Copper 2 is …", "Copper 2, 4 and 6 are …".
fn are(board: &Board, layers: &[usize], one: &str, several: &str) -> String {
    let numbers: Vec<String> = layers.iter().map(|i| board.copper[*i].number.to_string()).collect();
    format!("Copper {} {}", words::listed(&numbers), if layers.len() == 1 { one } else { several })
}
