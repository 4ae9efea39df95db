//! What changed in the images of the layers.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};
use static_aabb2d_index::StaticAABB2DIndexBuilder;

use super::{Asked, moved};
use crate::board::{LayerRef, Side};
use crate::check::Measured;
use crate::geometry::engine::{self, Polygon};
use crate::geometry::{Bounds, image};
use crate::measure::in_parallel;

/// Which of the sets has a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Presence {
    /// Both.
    Both,
    /// Only the old one.
    OnlyOld,
    /// Only the new one.
    OnlyNew,
}

/// A layer that changed.
#[derive(Clone, Debug)]
pub struct LayerChange {
    /// Its name.
    pub name: String,
    /// Which of the sets has it.
    pub presence: Presence,
    /// Where it changed, largest first.
    pub regions: Vec<Region>,
    /// Whether something was asked that its coming or going answers.
    pub asked: bool,
}

/// A part of a layer that changed.
#[derive(Clone, Debug)]
pub struct Region {
    /// The box round it.
    pub bounds: Bounds,
    /// What is there now and was not.
    pub added_mm2: f64,
    /// What was there and is no longer.
    pub removed_mm2: f64,
    /// The pieces themselves, added ones first.
    pub added: Vec<Polygon>,
    /// The pieces themselves.
    pub removed: Vec<Polygon>,
    /// Whether it lies near a place that was asked about.
    pub asked: bool,
}

/// Changes closer together than this are one region.
const TOGETHER: Nm = 300_000;

/// Changes thinner than this and the steps of both files are rounding.
const THINNEST: Nm = 1_000;

/// A layer's image to compare.
struct Picture {
    name: String,
    polygons: Vec<Polygon>,
    step: Nm,
}

/// Layers are the same when their key is; names may differ with the number of layers.
type Key = (u8, u32);

pub(super) fn changes(old: &Measured, new: &Measured, by: Point, asked: &Asked) -> (Vec<LayerChange>, Vec<String>) {
    let (olds, news) = (pictures(old), pictures(new));
    let mut keys: Vec<Key> = olds.keys().chain(news.keys()).copied().collect();
    keys.sort_unstable();
    keys.dedup();
    let compared = in_parallel(&keys, |key| match (olds.get(key), news.get(key)) {
        (Some(a), Some(b)) => both(a, b, by, asked),
        (Some(a), None) => alone(a, Presence::OnlyOld, asked),
        (None, Some(b)) => alone(b, Presence::OnlyNew, asked),
        (None, None) => alone(&Picture { name: String::new(), polygons: Vec::new(), step: 0 }, Presence::Both, asked),
    });
    let (same, changed): (Vec<LayerChange>, Vec<LayerChange>) =
        compared.into_iter().partition(|l| l.presence == Presence::Both && l.regions.is_empty());
    (changed, same.into_iter().map(|l| l.name).collect())
}

fn alone(picture: &Picture, presence: Presence, asked: &Asked) -> LayerChange {
    LayerChange { name: picture.name.clone(), presence, regions: Vec::new(), asked: asked.files }
}

/// Everything with an image: copper, masks, legends, pastes, the edge.
fn pictures(set: &Measured) -> BTreeMap<Key, Picture> {
    let mut out = BTreeMap::new();
    let last = set.board.copper.len() as u32;
    for layer in &set.geometry.copper {
        let LayerRef::Copper(number) = layer.layer else { continue };
        let key = if number == last && last > 1 { (2, 0) } else { (1, number) };
        out.insert(key, picture(layer.layer.name(), layer));
    }
    for layer in &set.geometry.masks {
        let LayerRef::Mask(side) = layer.layer else { continue };
        out.insert((3, side as u32), picture(layer.layer.name(), layer));
    }
    for (group, word, layers) in [(4, "legend", &set.board.legends), (5, "paste", &set.board.pastes)] {
        for layer in layers {
            let Some(Some(image)) = set.board.images.get(layer.file as usize) else { continue };
            let built = image::build(image, LayerRef::Legend(layer.side), layer.file);
            let entry = out.entry((group, layer.side as u32));
            let known = entry.or_insert_with(|| Picture {
                name: format!("{} {word}", side_word(layer.side)),
                polygons: Vec::new(),
                step: built.step,
            });
            known.polygons.extend(built.islands.into_iter().map(|i| i.contours));
        }
    }
    if !set.geometry.outline.is_empty() {
        let polygons = vec![nested(&set.geometry.outline)];
        out.insert((6, 0), Picture { name: "outline".to_owned(), polygons, step: set.board.outline.step });
    }
    out
}

const fn side_word(side: Side) -> &'static str {
    side.word()
}

fn picture(name: String, layer: &crate::geometry::LayerImage) -> Picture {
    Picture { name, polygons: layer.islands.iter().map(|i| i.contours.clone()).collect(), step: layer.step }
}

/// Outline contours wound so that material lies inside an odd number of them.
fn nested(contours: &[Vec<Point>]) -> Polygon {
    let inside = |p: Point, contour: &[Point]| {
        let next = contour.iter().cycle().skip(1);
        contour.iter().zip(next).fold(false, |inside, (a, b)| {
            let crosses = (a.y > p.y) != (b.y > p.y);
            let x = || a.x as f64 + (p.y - a.y) as f64 * (b.x - a.x) as f64 / (b.y - a.y) as f64;
            inside ^ (crosses && (p.x as f64) < x())
        })
    };
    let wound = |(i, contour): (usize, &Vec<Point>)| {
        let depth = (0..contours.len()).filter(|j| *j != i && inside(contour[0], &contours[*j])).count();
        let mut points = contour.clone();
        if (engine::doubled_area(&points) > 0) != (depth % 2 == 0) {
            points.reverse();
        }
        points
    };
    contours.iter().enumerate().map(wound).collect()
}

fn both(old: &Picture, new: &Picture, by: Point, asked: &Asked) -> LayerChange {
    let shifted = |p: &Polygon| -> Polygon { p.iter().map(|c| c.iter().map(|q| moved(*q, by)).collect()).collect() };
    let olds: Vec<Polygon> = old.polygons.iter().map(shifted).collect();
    let (olds, news) = without_twins(olds, new.polygons.clone());
    let (olds, news): (Vec<Vec<Point>>, Vec<Vec<Point>>) = (olds.concat(), news.concat());
    let thinnest = (THINNEST + old.step + new.step) as f64;
    let thick = |p: &Polygon| thickness(p) >= thinnest;
    let added: Vec<Polygon> = engine::difference(&news, &olds).into_iter().filter(thick).collect();
    let removed: Vec<Polygon> = engine::difference(&olds, &news).into_iter().filter(thick).collect();
    LayerChange {
        name: new.name.clone(),
        presence: Presence::Both,
        regions: regions(added, removed, asked),
        asked: false,
    }
}

/// Drops pieces that are in both exactly as they were.
fn without_twins(olds: Vec<Polygon>, news: Vec<Polygon>) -> (Vec<Polygon>, Vec<Polygon>) {
    let mut count: BTreeMap<Polygon, i32> = BTreeMap::new();
    let keys: Vec<Polygon> = news.iter().map(normal).collect();
    keys.into_iter().for_each(|k| *count.entry(k).or_default() += 1);
    let mut twins: BTreeMap<Polygon, i32> = BTreeMap::new();
    let kept_old: Vec<Polygon> = olds
        .into_iter()
        .filter(|p| {
            let key = normal(p);
            match count.get_mut(&key).filter(|n| **n > 0) {
                Some(n) => {
                    *n -= 1;
                    *twins.entry(key).or_default() += 1;
                    false
                }
                None => true,
            }
        })
        .collect();
    let kept_new = news
        .into_iter()
        .filter(|p| match twins.get_mut(&normal(p)).filter(|n| **n > 0) {
            Some(n) => {
                *n -= 1;
                false
            }
            None => true,
        })
        .collect();
    (kept_old, kept_new)
}

/// Each contour from its least point on, the holes in order.
fn normal(polygon: &Polygon) -> Polygon {
    let turned = |c: &Vec<Point>| {
        let mut points = c.clone();
        let least = (0..points.len()).min_by_key(|i| points[*i]).unwrap_or(0);
        points.rotate_left(least);
        points
    };
    let mut all: Polygon = polygon.iter().map(turned).collect();
    if let Some(holes) = all.get_mut(1..) {
        holes.sort_unstable();
    }
    all
}

/// Twice the area over the length of the edge: about the thickness of something thin.
fn thickness(polygon: &Polygon) -> f64 {
    let around: f64 =
        polygon.iter().map(|c| c.iter().zip(c.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum::<f64>()).sum();
    let doubled: i128 = polygon.iter().map(|c| engine::doubled_area(c)).sum();
    if around > 0.0 { doubled as f64 / around } else { 0.0 }
}

fn regions(added: Vec<Polygon>, removed: Vec<Polygon>, asked: &Asked) -> Vec<Region> {
    let news = added.len();
    let pieces: Vec<Polygon> = added.into_iter().chain(removed).collect();
    let boxes: Vec<Bounds> = pieces.iter().map(|p| image::bounds_of(p)).collect();
    let touched: Vec<bool> = pieces.iter().zip(&boxes).map(|(piece, bounds)| asked.touches(piece, bounds)).collect();
    let groups = together(&boxes, &touched);
    let mut by_group: BTreeMap<usize, Region> = BTreeMap::new();
    for (i, piece) in pieces.into_iter().enumerate() {
        let region = by_group.entry(groups[i]).or_insert_with(|| Region {
            bounds: Bounds::EMPTY,
            added_mm2: 0.0,
            removed_mm2: 0.0,
            added: Vec::new(),
            removed: Vec::new(),
            asked: touched[i],
        });
        region.bounds.add(boxes[i].min);
        region.bounds.add(boxes[i].max);
        let area = engine::area_mm2(&piece);
        if i < news {
            region.added_mm2 += area;
            region.added.push(piece);
        } else {
            region.removed_mm2 += area;
            region.removed.push(piece);
        }
    }
    let mut all: Vec<Region> = by_group.into_values().collect();
    all.sort_by(|a, b| {
        let size = |r: &Region| r.added_mm2 + r.removed_mm2;
        size(b).total_cmp(&size(a)).then(a.bounds.min.cmp(&b.bounds.min))
    });
    all
}

/// The group of each box: those within reach of each other share one, asked for and not asked for apart.
fn together(boxes: &[Bounds], touched: &[bool]) -> Vec<usize> {
    let mut parent: Vec<usize> = (0..boxes.len()).collect();
    fn root(parent: &mut [usize], mut i: usize) -> usize {
        while parent[i] != i {
            parent[i] = parent[parent[i]];
            i = parent[i];
        }
        i
    }
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    boxes.iter().for_each(|b| _ = builder.add(b.min.x, b.min.y, b.max.x, b.max.y));
    if let (false, Ok(index)) = (boxes.is_empty(), builder.build()) {
        for (i, b) in boxes.iter().enumerate() {
            let reach = b.grown(TOGETHER);
            for j in index.query(reach.min.x, reach.min.y, reach.max.x, reach.max.y) {
                if touched[i] != touched[j] {
                    continue;
                }
                let (a, b) = (root(&mut parent, i), root(&mut parent, j));
                parent[a.max(b)] = a.min(b);
            }
        }
    }
    (0..boxes.len()).map(|i| root(&mut parent, i)).collect()
}
