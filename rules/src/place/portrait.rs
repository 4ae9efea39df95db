//! What one layer looks like beside the holes: the measures its role is told by.

use std::sync::Arc;

use landgap_parser::drill::{HitShape, HoleImage};
use landgap_parser::{Image, Nm, Object, Point, Polarity, Shape};

use super::extent::{self, Extent};
use super::glyphs::{self, Reading};
use super::lands::{Lands, sample};
use super::raster::{Grid, Raster};

/// Holes looked at for one layer.
const SAMPLE: usize = 2_000;
/// How far outside a hole's wall its surroundings are looked at.
const BESIDE: Nm = 60_000;
/// Draws up to this length may be lands.
const SHORT: f64 = 5e6;
/// Fewest lands whose place says anything.
const FEW: usize = 4;
/// Images with more objects than this are not drawn: nothing of the kind is a single board's layer.
const MANY: usize = 3_000_000;
/// Text is looked for among at most this many objects.
const MANY_FOR_TEXT: usize = 400_000;

/// A drilled hole before it is known what it is for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bore {
    pub at: Point,
    pub diameter: Nm,
}

/// The round holes of all programs, sampled.
pub(super) fn bores(images: &[Option<HoleImage>]) -> Vec<Bore> {
    let mut out = Vec::new();
    for image in images.iter().flatten() {
        for hit in &image.hits {
            let HitShape::Hole { at } = hit.shape else { continue };
            let diameter = image.tools.get(hit.tool as usize).and_then(|t| t.diameter).unwrap_or(0);
            out.push(Bore { at, diameter });
        }
    }
    let step = out.len().div_ceil(SAMPLE).max(1);
    out.into_iter().step_by(step).collect()
}

/// Centres of lands that four layers or more have in common, two coppers and two masks for instance:
/// where there are no drill data, this is where the holes would be.
pub(super) fn common_lands<'a>(images: impl Iterator<Item = &'a Image>) -> Vec<Bore> {
    let mut layers: std::collections::BTreeMap<Point, u32> = std::collections::BTreeMap::new();
    for image in images {
        Lands::of_flashes(image).points().for_each(|p| *layers.entry(p).or_default() += 1);
    }
    let common = layers.into_iter().filter(|(_, n)| *n >= 4).map(|(at, _)| Bore { at, diameter: 0 });
    let all: Vec<Bore> = common.collect();
    let step = all.len().div_ceil(SAMPLE).max(1);
    all.into_iter().step_by(step).collect()
}

/// The measures of a layer.
#[derive(Debug)]
pub(super) struct Portrait {
    pub file: usize,
    pub raster: Raster,
    /// Dark cells.
    pub dark: usize,
    pub flashes: usize,
    pub strokes: usize,
    pub areas: usize,
    pub clears: usize,
    /// Share of the holes with dark all round.
    pub landed: f64,
    /// Share of the holes with nothing dark round them.
    pub free: f64,
    /// Share of the holes that share a piece with a hole elsewhere.
    pub joined: f64,
    pub reading: Reading,
    /// Centres of lands or openings that stand on no hole.
    pub lone: Lands,
    /// Flashes that stand on no hole.
    pub flashes_alone: usize,
    /// Centres of what is flashed or filled in small pieces.
    pub pads: Lands,
    /// Centres of all that may be a land or opening, short draws included.
    pub lands: Lands,
    /// Share of the objects that lie beyond the grid.
    pub beyond: f64,
}

/// The grid for a set: over what the layers with lands flash, so that frames of drawings do not count.
pub(super) fn grid<'a>(images: impl Iterator<Item = &'a Image> + Clone, bores: &[Bore]) -> Option<Arc<Grid>> {
    let axes: Vec<Point> = sample(&bores.iter().map(|b| b.at).collect::<Vec<_>>(), 500);
    let landing = |i: &&Image| Lands::of([*i]).share(&axes) >= 0.3;
    let ends = |e: Extent| [e.low, e.high];
    let lands: Vec<Point> =
        images.clone().filter(landing).filter_map(flashed_box).flat_map(ends).chain(axes.iter().copied()).collect();
    let all = || extent::of_points(images.clone().filter_map(extent::of_image).flat_map(ends));
    let flashes = || extent::of_points(images.clone().filter_map(flashed_box).flat_map(ends));
    let box_ = if bores.len() >= 4 { extent::of_points(lands) } else { flashes().or_else(all) };
    let box_ = box_?;
    Some(Arc::new(Grid::over(box_.grown((box_.width().max(box_.height()) / 8).max(3_000_000)))))
}

fn flashed_box(image: &Image) -> Option<Extent> {
    extent::of_points(Lands::of_flashes(image).points())
}

impl Portrait {
    /// Draws a layer and measures it.
    pub fn of(file: usize, image: &Image, grid: &Arc<Grid>, bores: &[Bore]) -> Option<Self> {
        if image.objects.len() > MANY {
            return None;
        }
        let raster = Raster::of(image, grid);
        let count = |kind: fn(&Shape) -> bool| image.objects.iter().filter(|o| kind(&o.shape)).count();
        let axes: Vec<Point> = bores.iter().map(|b| b.at).collect();
        let (landed, free) = round(&raster, bores);
        let pads = Lands::of([image]);
        let lands = Lands::of_points(pads.points().chain(short_draws(image)).collect());
        let holes = Lands::of_points(axes.clone());
        let lone = Lands::of_points(lands.points().filter(|p| !holes.has(*p)).collect());
        let reading = if image.objects.len() <= MANY_FOR_TEXT { glyphs::read(&raster) } else { Reading::default() };
        Some(Self {
            file,
            dark: raster.count(),
            flashes: count(|s| matches!(s, Shape::Flash { .. })),
            strokes: count(|s| matches!(s, Shape::Draw { .. } | Shape::Arc { .. })),
            areas: count(|s| matches!(s, Shape::Region { .. })),
            clears: image.objects.iter().filter(|o| o.polarity == Polarity::Clear).count(),
            landed,
            free,
            joined: joined(&raster, bores),
            reading,
            flashes_alone: Lands::of_flashes(image).points().filter(|p| !holes.has(*p)).count(),
            lone,
            lands,
            pads,
            beyond: beyond(image, grid),
            raster,
        })
    }

    /// Share of this layer's dark that is dark on the other.
    pub fn inside(&self, other: &Self) -> f64 {
        if self.dark == 0 { 0.0 } else { self.raster.shared(&other.raster) as f64 / self.dark as f64 }
    }

    /// Share of this layer's lands or openings that are centred on the other's.
    pub fn lands_on(&self, other: &Self) -> f64 {
        let own = if self.pads.count() >= FEW { &self.pads } else { &self.lands };
        other.lands.share(&sample(&own.points().collect::<Vec<_>>(), SAMPLE))
    }

    /// The same for those that stand on no hole; `None` where there are too few to say anything.
    pub fn lone_lands_on(&self, other: &Self) -> Option<f64> {
        let lone: Vec<Point> = self.lone.points().collect();
        (lone.len() >= FEW).then(|| other.lands.share(&sample(&lone, SAMPLE)))
    }

    /// Share of the lands of `own`, which `other` has not, that this layer draws something close to, and how many.
    pub fn draws_round(&self, own: &Self, other: &Self) -> (f64, usize) {
        let alone: Vec<Point> = own.lone.points().filter(|p| !other.lands.has(*p)).collect();
        let alone = sample(&alone, 500);
        if alone.len() < FEW {
            return (0.0, 0);
        }
        let near = alone.iter().filter(|p| self.raster.dark_near(**p, 1_200_000)).count();
        (near as f64 / alone.len() as f64, alone.len())
    }

    /// The measures in words.
    pub fn words(&self) -> String {
        format!(
            "{:.0} mm² drawn; of the holes {:.0} % have copper-like rings, {:.0} % are free, {:.0} % are joined",
            self.raster.grid.mm2(self.dark),
            self.landed * 100.0,
            self.free * 100.0,
            self.joined * 100.0
        )
    }
}

/// Middles of short draws: lands longer than wide may be drawn in one stroke.
fn short_draws(image: &Image) -> impl Iterator<Item = Point> {
    image.objects.iter().filter_map(|o| match o.shape {
        Shape::Draw { from, to, .. } if from != to && from.distance(to) <= SHORT => {
            Some(Point::new(from.x + (to.x - from.x) / 2, from.y + (to.y - from.y) / 2))
        }
        _ => None,
    })
}

fn beyond(image: &Image, grid: &Grid) -> f64 {
    let start = |o: &Object| match &o.shape {
        Shape::Flash { at, .. } => Some(*at),
        Shape::Draw { from, .. } => Some(*from),
        Shape::Arc { arc, .. } => Some(arc.from),
        Shape::Region { contours, offset } => {
            contours.first().map(|c| Point::new(c.start.x + offset.x, c.start.y + offset.y))
        }
    };
    let out = image.objects.iter().filter_map(start).filter(|p| grid.cell_of(*p).is_none()).count();
    out as f64 / image.objects.len().max(1) as f64
}

/// Points a little outside a hole's wall.
fn ring(bore: &Bore) -> impl Iterator<Item = Point> + use<> {
    let radius = (bore.diameter / 2 + BESIDE) as f64;
    let at = bore.at;
    (0..8).map(move |i| {
        let (sin, cos) = (f64::from(i) * std::f64::consts::FRAC_PI_4).sin_cos();
        Point::new(at.x + (radius * cos).round() as Nm, at.y + (radius * sin).round() as Nm)
    })
}

fn round(raster: &Raster, bores: &[Bore]) -> (f64, f64) {
    let dark = |b: &Bore| ring(b).filter(|p| raster.dark_at(*p)).count();
    let counts: Vec<usize> = bores.iter().map(dark).collect();
    let share = |n: usize| n as f64 / bores.len().max(1) as f64;
    (share(counts.iter().filter(|c| **c >= 6).count()), share(counts.iter().filter(|c| **c == 0).count()))
}

/// Share of the holes whose piece also holds a hole more than two millimetres away.
fn joined(raster: &Raster, bores: &[Bore]) -> f64 {
    const APART: f64 = 2_000_000.0;
    let pieces = raster.pieces();
    let mut held: Vec<(u32, Point)> = Vec::new();
    for bore in bores {
        let cells = ring(bore).filter_map(|p| raster.grid.cell_of(p));
        held.extend(cells.map(|(x, y)| pieces.at(x, y)).find(|l| *l != 0).map(|l| (l, bore.at)));
    }
    held.sort_unstable();
    let together = |run: &[(u32, Point)]| {
        let far = run.iter().any(|h| h.1.distance(run[0].1) > APART);
        if far { run.len() } else { 0 }
    };
    let count: usize = held.chunk_by(|a, b| a.0 == b.0).map(together).sum();
    count as f64 / bores.len().max(1) as f64
}
