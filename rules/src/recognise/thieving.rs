//! Thieving: equal pieces of copper in a regular pattern, joined to nothing, that even out the plating.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::{Nm, Point};

use super::loose::{self, Piece};
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef, Side};
use crate::geometry::Bounds;

/// Fewest pieces of a pattern that nothing names.
const FEWEST: usize = 12;
/// A piece of a pattern is no longer than this.
const LONGEST: Nm = 6_000_000;
/// A contour with more corners than this is round.
const CORNERS: usize = 8;
/// Neighbours lie at most this many times their size apart, middle to middle.
const PITCH: Nm = 4;
/// Pitches, and sizes, that differ by less are the same.
const SAME: Nm = 5_000;
/// At least this share of the pieces has a neighbour at the pitch of the pattern, in hundredths.
const REGULAR: usize = 80;

/// One feature a pattern. The size is the gap between neighbours; settled where the data name it.
pub(super) fn of(board: &Board, ground: &Ground<'_>, _: &Lands) -> Vec<Feature> {
    let pieces = loose::pieces(board, ground);
    let mut alike: BTreeMap<(u32, Nm, Nm, bool), Vec<&Piece<'_>>> = BTreeMap::new();
    for piece in pieces.iter().filter(|p| p.bounds().width().max(p.bounds().height()) <= LONGEST) {
        let named = piece.function == Some("CopperBalancing");
        if named || is_covered(board, ground, piece) && !may_be_a_via(board, piece) {
            let (w, h) = (piece.bounds().width() / SAME, piece.bounds().height() / SAME);
            alike.entry((piece.layer, w, h, named)).or_default().push(piece);
        }
    }
    alike.into_iter().flat_map(|((.., named), group)| patterns(&group, named)).collect()
}

/// Without any drill data a disc may as well be the land of a via.
fn may_be_a_via(board: &Board, piece: &Piece<'_>) -> bool {
    board.holes.is_empty() && piece.shape.contours[0].len() > CORNERS
}

/// No opening of the mask lies over it, where it has one to lie under.
fn is_covered(board: &Board, ground: &Ground<'_>, piece: &Piece<'_>) -> bool {
    let last = board.copper.len() as u32;
    let open = |side| ground.mask(side).is_some_and(|m| m.island_at(piece.bounds().middle()).is_some());
    !(piece.layer == 1 && open(Side::Top) || piece.layer == last && last > 1 && open(Side::Bottom))
}

/// Equal pieces parted into those that hang together.
fn patterns(group: &[&Piece<'_>], named: bool) -> Vec<Feature> {
    if !named && group.len() < FEWEST {
        return Vec::new();
    }
    let at: Vec<(Point, u32)> = (0u32..).zip(group).map(|(i, p)| (p.bounds().middle(), i)).collect();
    let size = group[0].bounds().width().max(group[0].bounds().height());
    let mut parts = super::slot_chain::hang_together(&at, size * PITCH);
    if named {
        let met: BTreeSet<u32> = parts.iter().flatten().copied().collect();
        parts.extend((0..group.len() as u32).filter(|i| !met.contains(i)).map(|i| vec![i]));
    }
    let pieces = |part: Vec<u32>| part.into_iter().map(|i| group[i as usize]).collect::<Vec<_>>();
    parts.into_iter().map(pieces).filter_map(|part| pattern(&part, named)).collect()
}

fn pattern(part: &[&Piece<'_>], named: bool) -> Option<Feature> {
    let pitch = pitch(part);
    if !named && (part.len() < FEWEST || pitch.is_none_or(|(_, share)| share < REGULAR) || !in_two_ways(part)) {
        return None;
    }
    let mut bounds = Bounds::EMPTY;
    part.iter().flat_map(|p| [p.bounds().min, p.bounds().max]).for_each(|p| bounds.add(p));
    let reason = if named {
        "it carries the attribute CopperBalancing".to_owned()
    } else {
        format!("{} equal pieces of copper stand in a regular pattern, under mask and joined to nothing", part.len())
    };
    let mut feature =
        Feature::new(FeatureKind::Thieving, Some(LayerRef::Copper(part[0].layer)), bounds.middle()).because(reason);
    let own = part[0].bounds();
    feature.size = pitch.map(|(pitch, _)| pitch - own.width().min(own.height()));
    feature.bounds = Some(bounds);
    feature.settled = named;
    feature.sources = part.iter().take(20).map(|p| p.source).collect();
    Some(feature)
}

/// The commonest distance to the nearest neighbour, and the share of pieces that have it, in hundredths.
fn pitch(part: &[&Piece<'_>]) -> Option<(Nm, usize)> {
    let mut at: Vec<Point> = part.iter().map(|p| p.bounds().middle()).collect();
    at.sort_unstable();
    let mut count: BTreeMap<Nm, usize> = BTreeMap::new();
    for (i, p) in at.iter().enumerate() {
        let ahead = nearest(*p, at[i + 1..].iter(), f64::INFINITY);
        let best = nearest(*p, at[..i].iter().rev(), ahead);
        if best.is_finite() {
            *count.entry((best / SAME as f64).round() as Nm).or_default() += 1;
        }
    }
    let (step, most) = count.iter().max_by_key(|(_, n)| **n)?;
    let with = |by: Nm| count.get(&(step + by)).copied().unwrap_or(0);
    Some((step * SAME, (most + with(-1) + with(1)) * 100 / part.len()))
}

/// The least distance to points that come in order of their distance in x, if less than `best`.
fn nearest<'a>(p: Point, others: impl Iterator<Item = &'a Point>, mut best: f64) -> f64 {
    for q in others {
        if (q.x - p.x).abs() as f64 >= best {
            break;
        }
        best = best.min(p.distance(*q));
    }
    best
}

/// Whether the pieces fill an area, not one line: a line of equal lands is a connector's.
fn in_two_ways(part: &[&Piece<'_>]) -> bool {
    let own = part[0].bounds();
    let lines = |place: fn(Point) -> Nm, size: Nm| {
        let places: BTreeSet<Nm> = part.iter().map(|p| place(p.bounds().middle()) / size.max(1)).collect();
        places.len()
    };
    lines(|p| p.x, own.width()) >= 3 && lines(|p| p.y, own.height()) >= 3
}
