//! Letters, signs and lines drawn into the mask: thin strokes that open over no land and no hole.

use std::collections::BTreeSet;

use landgap_parser::{ApertureShape, Image, Nm, Object, Point, Polarity, Shape};

use super::face::{Face, faces};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::edges::{EdgeIndex, path_segment};
use crate::geometry::{Bounds, Island, engine, flatten};

/// Pens wider than this draw openings, not letters.
const PEN: Nm = 400_000;
/// An opening much thicker than the pen is an area painted with it.
const PAINTED: f64 = 1.3;
/// Strokes nearer than this to one another are one text or sign.
const APART: Nm = 1_500_000;
/// Strokes as near as this to the board's edge follow it.
const ALONG_EDGE: Nm = 300_000;

/// One stroke of art.
struct Stroke {
    path: Vec<Point>,
    pen: Nm,
    line: u32,
    opening: u32,
}

/// One feature a text or sign. The size is its thinnest pen; settled where it bares copper of one net at most.
/// What lies wholly on copper of one net is lettering of bare copper, designed so, and no art.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let mut found = Vec::new();
    for face in faces(board, ground) {
        for mask in board.masks.iter().filter(|m| m.side == face.side) {
            let Some(Some(image)) = board.images.get(mask.file as usize) else { continue };
            let strokes = strokes(board, ground, lands, &face, image);
            let at: Vec<(Point, u32)> = (0u32..).zip(&strokes).map(|(i, s)| (s.path[s.path.len() / 2], i)).collect();
            let texts = super::slot_chain::hang_together(&at, APART);
            let in_text: BTreeSet<u32> = texts.iter().flatten().copied().collect();
            let single = (0..strokes.len() as u32).filter(|i| !in_text.contains(i)).map(|i| vec![i]);
            let all: Vec<Vec<u32>> = texts.iter().cloned().chain(single).collect();
            found.extend(all.iter().filter_map(|text| feature(ground, &face, &strokes, text, mask.file)));
        }
    }
    found
}

/// Thin strokes of a mask in openings without land and hole.
fn strokes(board: &Board, ground: &Ground<'_>, lands: &Lands, face: &Face<'_>, image: &Image) -> Vec<Stroke> {
    let thin: Vec<(&Object, Nm, Vec<Point>)> = image.objects.iter().filter_map(|o| thin(image, o)).collect();
    if thin.is_empty() {
        return Vec::new();
    }
    let used = used(board, lands, face);
    let mut out = Vec::new();
    for (object, pen, path) in thin {
        let middle = path[path.len() / 2];
        let Some(opening) = face.mask.island_at(middle) else { continue };
        let island = &face.openings.islands[opening as usize];
        let off_board = ground.edge.is_some_and(|edge| {
            !edge.holds(middle) || edge.index.nearest(&[middle], ALONG_EDGE, |_, _| true).is_some()
        });
        if !used.contains(&opening) && !off_board && thickness(island) <= PAINTED * pen as f64 {
            out.push(Stroke { path, pen, line: object.line, opening });
        }
    }
    out
}

fn thin<'i>(image: &Image, object: &'i Object) -> Option<(&'i Object, Nm, Vec<Point>)> {
    let (aperture, path) = match &object.shape {
        Shape::Draw { aperture, from, to, .. } if from != to => {
            let middle = Point::new(from.x.midpoint(to.x), from.y.midpoint(to.y));
            (*aperture, vec![*from, middle, *to])
        }
        Shape::Arc { aperture, arc, .. } => {
            let edge =
                landgap_parser::Edge::Arc { to: arc.to, centre: arc.centre, counter_clockwise: arc.counter_clockwise };
            (*aperture, flatten::path(arc.from, &[edge]))
        }
        _ => return None,
    };
    let ApertureShape::Circle { diameter, .. } = image.apertures.get(aperture as usize)?.shape else { return None };
    let dark = object.polarity == Polarity::Dark && diameter > 0 && diameter <= PEN;
    dark.then_some((object, diameter, path))
}

/// Openings with a land or a hole in them.
fn used(board: &Board, lands: &Lands, face: &Face<'_>) -> BTreeSet<u32> {
    let holes = board.holes.iter().map(crate::board::Hole::at);
    face.lands(lands).map(|l| l.at).chain(holes).filter_map(|at| face.mask.island_at(at)).collect()
}

/// How thick a shape is as a stroke of the same area and boundary.
fn thickness(island: &Island) -> f64 {
    let around: f64 =
        island.contours.iter().flat_map(|c| c.iter().zip(c.iter().cycle().skip(1))).map(|(a, b)| a.distance(*b)).sum();
    engine::area_mm2(&island.contours) * 1e12 / (around / 2.0).max(1.0)
}

fn feature(ground: &Ground<'_>, face: &Face<'_>, strokes: &[Stroke], text: &[u32], file: u32) -> Option<Feature> {
    let own: Vec<&Stroke> = text.iter().map(|i| &strokes[*i as usize]).collect();
    let position = face.copper.number as usize - 1;
    let copper = ground.copper.get(position)?;
    let net = |island: u32| ground.geometry.copper[position].islands[island as usize].net;
    let mut nets = BTreeSet::new();
    let mut all_on_copper = true;
    for stroke in &own {
        let reach = stroke.pen / 2;
        nets.extend(crossed(copper, &stroke.path, reach).into_iter().map(net));
        for p in &stroke.path {
            let island = copper.island_at(*p);
            all_on_copper &= island.is_some();
            nets.extend(island.map(net));
        }
    }
    if all_on_copper && nets.len() == 1 {
        return None;
    }
    let mut bounds = Bounds::EMPTY;
    own.iter().flat_map(|s| &s.path).for_each(|p| bounds.add(*p));
    let at = Point::new(bounds.min.x.midpoint(bounds.max.x), bounds.min.y.midpoint(bounds.max.y));
    let openings: BTreeSet<u32> = own.iter().map(|s| s.opening).collect();
    let mut feature = Feature::new(FeatureKind::MaskArt, Some(LayerRef::Mask(face.side)), at).because(format!(
        "{} thin strokes make {} openings over no land and no hole",
        own.len(),
        openings.len()
    ));
    feature = feature.because(match nets.len() {
        0 => "no copper lies under them".to_owned(),
        1 => "they bare copper of one net".to_owned(),
        several => format!("they bare copper of {several} nets"),
    });
    feature.size = own.iter().map(|s| s.pen).min();
    feature.settled = nets.len() < 2;
    feature.sources = own.iter().map(|s| Source { file, line: s.line }).collect();
    Some(feature)
}

/// Islands whose boundary passes within `reach` of a path.
fn crossed(copper: &EdgeIndex, path: &[Point], reach: Nm) -> BTreeSet<u32> {
    let mut met = BTreeSet::new();
    copper.near(Bounds::of(path).grown(reach), |i| {
        let edge = &copper.edges()[i];
        if !met.contains(&edge.island) && path_segment(path, edge.segment).length < reach as f64 {
            met.insert(edge.island);
        }
    });
    met
}
