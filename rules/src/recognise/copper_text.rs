//! Letters and signs in copper.

use std::collections::BTreeSet;

use landgap_parser::Nm;

use super::lands::{Land, Places};
use super::loose::{self, Piece};
use super::{Ground, Lands};
use crate::board::{Board, CopperLayer, Feature, FeatureKind, LayerRef, Source};
use crate::geometry::{Bounds, Island};

const NAMED: &str = "it carries the attribute NonConductor and is joined to no land and no hole";
const LETTERS_STAND: &str = "pieces of the size and form of letters stand in a row, joined to no land and no hole";
const LETTERS_CUT: &str = "gaps of the size and form of letters stand in a row in an area of copper";

/// An area that letters are cut out of is at least so many times as long as one of them.
const AREA: Nm = 4;
/// A gap with a land or hole within this, and one and a half times its own length, may be part of its clearance.
const NEAR_LAND: Nm = 300_000;
/// Longer sides of letters: 0.4 to 12 mm.
const LETTERS: std::ops::RangeInclusive<Nm> = 400_000..=12_000_000;
/// Letters are made of strokes no wider than this.
const BROADEST: f64 = 1_000_000.0;
/// Letters of one word lie at most this many times their longer side apart.
const APART: f64 = 0.8;
/// Fewest letters that make a word.
const FEWEST: usize = 3;
/// Letters of one row begin or end within this share of their height.
const LEVEL: f64 = 0.1;
/// Corners from which on a filled area may be a letter.
const CORNERS: usize = 6;

/// One feature a word or sign. The size is the narrowest stroke; settled where the data name it and it stands alone.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let pieces = loose::pieces(board, ground);
    let holding: BTreeSet<(u32, u32)> = lands.all().iter().filter_map(|l| Some((l.layer, l.island?))).collect();
    let (named, plain): (Vec<&Piece<'_>>, Vec<&Piece<'_>>) = pieces
        .iter()
        .filter(|p| !holding.contains(&(p.layer, p.island)))
        .partition(|p| p.function == Some("NonConductor"));
    let mut found: Vec<Feature> = words(&named).iter().map(|word| feature(word, NAMED)).collect();
    let plain: Vec<&Piece<'_>> = plain.into_iter().filter(|p| is_letter_like(p)).collect();
    found.extend(words(&plain).iter().filter(|word| reads(word, 1)).map(|word| feature(word, LETTERS_STAND)));
    let gaps = gaps(board, ground, lands);
    let cut: Vec<Piece<'_>> = gaps.iter().map(|(layer, gap, source)| as_piece(*layer, gap, *source)).collect();
    let cut: Vec<&Piece<'_>> = cut.iter().collect();
    // The gaps of a relief stand level in twos.
    found.extend(words(&cut).iter().filter(|word| reads(word, 2)).map(|word| feature(word, LETTERS_CUT)));
    found
}

/// Gaps in areas of copper that have the size and breadth of letters and neither land nor hole near, as shapes of their own.
fn gaps(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<(u32, Island, Source)> {
    let layers: Vec<&CopperLayer> = board.copper.iter().collect();
    let holes = Places::of_holes(board);
    let of_layer = |layer: &&CopperLayer| {
        let source = Source { file: layer.file, line: 0 };
        let islands = ground.geometry.copper[layer.number as usize - 1].islands.iter();
        let contours = islands.flat_map(|i| i.contours[1..].iter().map(|c| (i.bounds, c)));
        let shapes = contours.filter(|(_, c)| c.len() >= CORNERS).filter_map(|(area, contour)| {
            let bounds = Bounds::of(contour);
            let long = bounds.width().max(bounds.height());
            // The inside of a letter is no letter.
            if area.width().max(area.height()) < AREA * long {
                return None;
            }
            let near_land = long * 3 / 2 + NEAR_LAND;
            let (room, reach) = (bounds.grown(near_land), long + near_land);
            let near = |l: &Land| l.layer == layer.number && room.holds(l.at);
            let alone = LETTERS.contains(&long)
                && !holes.within(bounds.middle(), reach).any(|i| room.holds(board.holes[i as usize].at()))
                && !lands.within(bounds.middle(), reach).any(near);
            let points = || contour.iter().rev().copied().collect();
            alone.then(|| Island { contours: vec![points()], bounds, net: 0, source })
        });
        shapes.map(|shape| (layer.number, shape, source)).collect::<Vec<_>>()
    };
    let found = crate::measure::in_parallel(&layers, of_layer).into_iter().flatten();
    found.filter(|(layer, gap, source)| as_piece(*layer, gap, *source).breadth() <= BROADEST).collect()
}

const fn as_piece(layer: u32, shape: &Island, source: Source) -> Piece<'_> {
    Piece { layer, shape, island: 0, strokes: 0, fills: 1, flashes: 0, pen: None, function: None, source }
}

fn longer(piece: &Piece<'_>) -> Nm {
    piece.bounds().width().max(piece.bounds().height())
}

/// Of the size of a letter and made of strokes.
fn is_letter_like(piece: &Piece<'_>) -> bool {
    piece.flashes == 0 && longer(piece) <= *LETTERS.end() && piece.breadth() <= BROADEST
}

/// Made of more than one stroke, or of an area with more corners than a bar has.
fn has_form(piece: &Piece<'_>) -> bool {
    let corners: usize = piece.shape.contours.iter().map(Vec::len).sum();
    piece.strokes > 1 || piece.fills > 0 && corners >= CORNERS
}

/// Whether a group looks like letters: most have a form, not all are alike, and most stand in a row.
/// `twins` is with how many others a letter must stand level.
fn reads(word: &[&Piece<'_>], twins: usize) -> bool {
    let formed = word.iter().filter(|p| has_form(p) && LETTERS.contains(&longer(p))).count();
    let sizes: BTreeSet<(Nm, Nm)> =
        word.iter().map(|p| (p.bounds().width() / 20_000, p.bounds().height() / 20_000)).collect();
    formed >= FEWEST && formed * 2 >= word.len() && sizes.len() > 1 && in_rows(word, twins)
}

/// Whether at least three, and half of all, begin and end level with others.
fn in_rows(word: &[&Piece<'_>], twins: usize) -> bool {
    let level = |low: fn(&Bounds) -> (Nm, Nm)| {
        let spans: Vec<(Nm, Nm)> = word.iter().map(|p| low(&p.bounds())).collect();
        let with_twin = spans.iter().enumerate().filter(|(i, a)| {
            let level = spans.iter().enumerate().filter(|(j, b)| {
                let off = (a.0 - b.0).abs().max((a.1 - b.1).abs());
                j != i && off as f64 <= (a.1 - a.0) as f64 * LEVEL
            });
            level.take(twins).count() == twins
        });
        let count = with_twin.count();
        count >= FEWEST && count * 2 >= word.len()
    };
    // Words of thousands of pieces are pictures; comparing each with each would take long.
    word.len() <= 2_000 && (level(|b| (b.min.y, b.max.y)) || level(|b| (b.min.x, b.max.x)))
}

/// Pieces that hang together by nearness, on one layer each.
fn words<'a, 'b>(pieces: &[&'a Piece<'b>]) -> Vec<Vec<&'a Piece<'b>>> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_key(|i| (pieces[*i].layer, pieces[*i].bounds().min, *i));
    let mut group: Vec<usize> = (0..pieces.len()).collect();
    for (n, &i) in order.iter().enumerate() {
        let reach = (longer(pieces[i]) as f64 * APART) as Nm;
        let own = pieces[i].bounds().grown(reach);
        let near = order[n + 1..]
            .iter()
            .take_while(|j| pieces[**j].layer == pieces[i].layer && pieces[**j].bounds().min.x <= own.max.x);
        for &j in near.filter(|j| pieces[**j].bounds().meets(&own)) {
            let (a, b) = (root(&mut group, i), root(&mut group, j));
            group[a.max(b)] = a.min(b);
        }
    }
    let mut out: std::collections::BTreeMap<usize, Vec<&Piece<'_>>> = std::collections::BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        out.entry(root(&mut group, i)).or_default().push(piece);
    }
    out.into_values().collect()
}

fn root(group: &mut [usize], mut i: usize) -> usize {
    while group[i] != i {
        group[i] = group[group[i]];
        i = group[i];
    }
    i
}

fn feature(word: &[&Piece<'_>], reason: &'static str) -> Feature {
    let mut bounds = Bounds::EMPTY;
    word.iter().flat_map(|p| [p.bounds().min, p.bounds().max]).for_each(|p| bounds.add(p));
    let mut feature =
        Feature::new(FeatureKind::CopperText, Some(LayerRef::Copper(word[0].layer)), bounds.middle()).because(reason);
    feature.size = word.iter().filter_map(|p| p.pen).min();
    feature.bounds = Some(bounds);
    feature.settled = reason == NAMED;
    feature.sources = word.iter().map(|p| p.source).collect();
    feature
}
