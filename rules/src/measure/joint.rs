//! Doubtful joints: copper that hangs together only because a hole grazes it, or by a hair.
//!
//! Both are kept only where they matter: a grazing hole where nothing firm joins the same copper, a hair where
//! parting the copper there would leave lands or plated holes on both sides.

use std::collections::BTreeSet;

use landgap_parser::{Nm, Point, Polarity, Shape};

use super::nets::{Sets, layer_starts, node};
use super::touch::Touch;
use super::{Bench, Found, HORIZON, uncertainty};
use crate::board::HolePlating;
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Span, float, point_segment, round};
use crate::geometry::edges::EdgeIndex;

/// Copper narrower than this is a hair.
const HAIR: f64 = FactKind::Neck.own_horizon().unwrap() as f64;
/// Both sides of a hair have at least this much boundary.
const LEAST_PART: f64 = 300_000.0;
/// Turns of the boundary into the copper by less than this, in degrees, begin no hair.
const LEAST_TURN: f64 = 20.0;
/// So many hairs of one layer are looked at more closely.
const MOST_HAIRS: usize = 1_000;

/// Joints of plated holes whose axis lies outside copper that no other hole holds firmly.
pub(super) fn grazed(bench: &Bench<'_>) -> Found {
    let starts = layer_starts(bench.geometry);
    let mut sets = Sets::new(bench.geometry.copper.iter().map(|l| l.islands.len()).sum());
    let at = |t: &Touch| node(&starts, t.layer, t.island);
    let plated = |i: &u32| bench.board.holes[*i as usize].plating == HolePlating::Plated;
    let holes = || (0..bench.board.holes.len() as u32).filter(plated);
    for hole in holes() {
        let firm: Vec<&Touch> = bench.touches.of(hole).iter().filter(|t| t.reach >= 0.0).collect();
        firm.windows(2).for_each(|pair| sets.join(at(pair[0]), at(pair[1])));
    }
    let mut found = Found::default();
    for hole in holes() {
        let touches = bench.touches.of(hole);
        found.looked_at += touches.len() as u64;
        let deepest = touches.iter().max_by(|a, b| a.reach.total_cmp(&b.reach));
        let held: BTreeSet<usize> =
            touches.iter().filter(|t| t.reach >= 0.0).chain(deepest).map(|t| sets.root(at(t))).collect();
        for touch in touches.iter().filter(|t| t.reach < 0.0) {
            if !held.contains(&sets.root(at(touch))) {
                found.facts.extend(joint(bench, touch));
            }
        }
    }
    found
}

fn joint(bench: &Bench<'_>, touch: &Touch) -> Option<Fact> {
    let hole = &bench.board.holes[touch.hole as usize];
    let size = hole.finished?;
    let value = (size as f64 / 2.0 + touch.reach).round() as Nm;
    let image = &bench.geometry.copper[touch.layer as usize];
    let to = touch.span.points().1;
    (value <= HORIZON).then(|| Fact {
        kind: FactKind::Joint,
        layer: Some(image.layer),
        value,
        uncertainty: uncertainty::point(hole.step) + uncertainty::boundary(image.step),
        from: super::holes::from_wall(&touch.span, size, 1.0),
        to,
        nets: vec![image.islands[touch.island as usize].net],
        holes: vec![touch.hole],
        sources: std::iter::once(hole.source).chain(bench.copper_lines[touch.layer as usize].at(to)).collect(),
        length: None,
        run: None,
        same_net: true,
    })
}

/// A hair: where two turns of one boundary into the copper nearly meet.
struct Hair {
    island: u32,
    contour: u32,
    span: Span,
    /// Positions on the contour: where it is left, and the piece where it comes back.
    from: usize,
    to: usize,
}

/// Hairs of one copper layer.
pub(super) fn hairs(bench: &Bench<'_>, layer: usize) -> Found {
    let (image, index) = (&bench.geometry.copper[layer], &bench.copper[layer]);
    let mut found = Found::default();
    let mut hairs: Vec<Hair> = Vec::new();
    for (number, island) in (0u32..).zip(&image.islands) {
        for (c, contour) in (0u32..).zip(&island.contours) {
            found.looked_at += contour.len() as u64;
            if hairs.len() < MOST_HAIRS {
                hairs.extend(of_contour(index, number, c, contour));
            }
        }
    }
    hairs.sort_by(|a, b| {
        (a.island, a.contour).cmp(&(b.island, b.contour)).then(a.span.length.total_cmp(&b.span.length))
    });
    let mut kept: Vec<Point> = Vec::new();
    for hair in hairs {
        let at = round(hair.span.middle());
        if kept.iter().any(|p| p.distance(at) < LEAST_PART) || !parts(bench, layer, &hair) {
            continue;
        }
        kept.push(at);
        found.facts.push(neck(bench, layer, &hair));
    }
    found
}

/// Turns into the copper of one contour, each with the nearest boundary across, if that is a hair.
fn of_contour(index: &EdgeIndex, island: u32, c: u32, contour: &[Point]) -> Vec<Hair> {
    let count = contour.len();
    let turning = |i: usize| {
        let (a, b, c) = (float(contour[(i + count - 1) % count]), float(contour[i]), float(contour[(i + 1) % count]));
        let (ux, uy, vx, vy) = (b.0 - a.0, b.1 - a.1, c.0 - b.0, c.1 - b.1);
        // Copper lies to the left, so a turn to the right goes round it.
        -(ux * vy - uy * vx).atan2(ux * vx + uy * vy).to_degrees() >= LEAST_TURN
    };
    let turns: Vec<usize> = (0..count).filter(|i| turning(*i)).collect();
    if turns.is_empty() {
        return Vec::new();
    }
    let mut along = Vec::with_capacity(count + 1);
    along.push(0.0);
    for i in 0..count {
        along.push(along[i] + contour[i].distance(contour[(i + 1) % count]));
    }
    let first = index.edges().partition_point(|e| (e.island, e.contour) < (island, c));
    turns.into_iter().filter_map(|i| across(index, (island, c), contour, &along, first, i)).collect()
}

fn across(
    index: &EdgeIndex,
    (island, c): (u32, u32),
    contour: &[Point],
    along: &[f64],
    first: usize,
    i: usize,
) -> Option<Hair> {
    let whole = *along.last()?;
    let mut best: Option<(f64, usize, Span)> = None;
    index.near(Bounds { min: contour[i], max: contour[i] }.grown(HAIR as Nm), |e| {
        let edge = index.edges()[e];
        if (edge.island, edge.contour) != (island, c) {
            return;
        }
        let span = point_segment(float(contour[i]), edge.segment);
        let piece = e - first;
        let way = (along.get(piece).copied().unwrap_or(0.0) - along[i]).abs();
        let far = way.min(whole - way) >= LEAST_PART;
        if far && span.length >= 1.0 && span.length <= HAIR && best.is_none_or(|b| span.length < b.0) {
            best = Some((span.length, piece, span));
        }
    });
    let (_, to, span) = best?;
    (index.island_at(round(span.middle())) == Some(island)).then_some(Hair { island, contour: c, span, from: i, to })
}

/// Whether parting the copper at a hair leaves a land or a plated hole on both sides.
fn parts(bench: &Bench<'_>, layer: usize, hair: &Hair) -> bool {
    let island = &bench.geometry.copper[layer].islands[hair.island as usize];
    let contour = &island.contours[hair.contour as usize];
    let (low, high) = (hair.from.min(hair.to), hair.from.max(hair.to));
    let side = EdgeIndex::of_contours(&[contour[low..=high.min(contour.len() - 1)].to_vec()]);
    let (mut inside, mut outside) = (false, false);
    for p in terminals(bench, layer, hair.island, &island.bounds) {
        if side.enclosing(p) % 2 == 1 {
            inside = true
        } else {
            outside = true
        }
        if inside && outside {
            return true;
        }
    }
    false
}

/// Where a piece of copper is met by plated holes and set-down lands.
fn terminals<'a>(
    bench: &'a Bench<'_>,
    layer: usize,
    island: u32,
    bounds: &'a Bounds,
) -> impl Iterator<Item = Point> + use<'a> {
    let on = move |t: &&Touch| t.layer as usize == layer && t.island == island;
    let plated = (0u32..).zip(&bench.board.holes).filter(|(_, h)| h.plating == HolePlating::Plated);
    let holes = plated.filter(move |(i, _)| bench.touches.of(*i).iter().any(|t| on(&t))).map(|(_, h)| h.at());
    let file = bench.board.copper.get(layer).map(|c| c.file);
    let image = file.and_then(|f| bench.board.images.get(f as usize)?.as_ref());
    let flash = move |o: &landgap_parser::Object| match o.shape {
        Shape::Flash { at, .. } if o.polarity == Polarity::Dark => {
            let near = Bounds { min: at, max: at }.meets(bounds);
            (near && bench.copper[layer].island_at(at) == Some(island)).then_some(at)
        }
        _ => None,
    };
    holes.chain(image.into_iter().flat_map(|i| &i.objects).filter_map(flash))
}

fn neck(bench: &Bench<'_>, layer: usize, hair: &Hair) -> Fact {
    let image = &bench.geometry.copper[layer];
    let (from, to) = hair.span.points();
    Fact {
        kind: FactKind::Neck,
        layer: Some(image.layer),
        value: hair.span.length.round() as Nm,
        uncertainty: 2 * uncertainty::boundary(image.step),
        from,
        to,
        nets: vec![image.islands[hair.island as usize].net],
        holes: Vec::new(),
        sources: bench.copper_lines[layer].both(from, to),
        length: None,
        run: None,
        same_net: true,
    }
}
