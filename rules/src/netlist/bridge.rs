//! The place of a short: the smallest drawn piece whose removal parts the names.

use std::collections::{BTreeSet, VecDeque};

use landgap_parser::Nm;

use super::compare::Met;
use super::pieces::{Piece, Pieces};
use super::{Ground, Spot};
use crate::board::Source;
use crate::query::words;

/// Nets drawn with more pieces than this are not searched for their bridge.
const MOST_PIECES: usize = 200_000;
/// Pieces of one way that are tried, smallest first.
const TRIED: usize = 64;
/// Names joined in more ways than this are not two nets with a bridge but one.
const MOST_WAYS: usize = 8;

/// The part whose own copper is the bridge: it has pins of both sides, so it joins them on purpose.
pub(super) fn joining_part(spot: &Spot, few: &[&Met<'_>], rest: &[&Met<'_>], ground: &Ground<'_>) -> Option<String> {
    let [source] = spot.sources[..] else { return None };
    let image = ground.board.images.get(source.file as usize)?.as_ref()?;
    let object = image.objects.iter().find(|o| o.line == source.line)?;
    if image.attribute(object, ".N").is_some() {
        return None;
    }
    let part = image.attribute(object, ".C")?.first()?;
    let start = format!("{part} pin ");
    let has = |points: &[&Met<'_>]| points.iter().any(|m| m.point.pin.starts_with(&start));
    (has(few) && has(rest)).then(|| part.clone())
}

/// Finds the bridge between the points of one name and those of the others.
pub(super) fn find(net: u32, few: &[&Met<'_>], rest: &[&Met<'_>], ground: &Ground<'_>) -> (Spot, String) {
    let Some(pieces) = Pieces::of(net, MOST_PIECES, ground) else { return at_points(few, rest, ground) };
    let (from, to) = (terminals(few, &pieces), terminals(rest, &pieces));
    if let Some(shared) = from.intersection(&to).next() {
        let piece = &pieces.list[*shared as usize];
        return (
            spot(piece, piece.width),
            format!("one piece of copper at {} carries points of both", words::point(piece.at)),
        );
    }
    let mut gone = BTreeSet::new();
    let Some(mut way) = shortest(&pieces, &from, &to, &gone) else { return at_points(few, rest, ground) };
    if let Some(cut) = single_cut(&pieces, &from, &to, &way) {
        let piece = &pieces.list[cut as usize];
        let text = format!("taking away the one piece at {} would part them", words::point(piece.at));
        return (spot(piece, piece.width), text);
    }
    let mut first: Option<u32> = None;
    while gone.len() < MOST_WAYS {
        let Some(smallest) = inner(&pieces, &from, &to, &way).into_iter().next() else { break };
        first.get_or_insert(smallest);
        gone.insert(smallest);
        match shortest(&pieces, &from, &to, &gone) {
            Some(next) => way = next,
            None => return several(&pieces, &gone, first),
        }
    }
    match first {
        Some(node) => {
            let piece = &pieces.list[node as usize];
            (
                spot(piece, piece.width),
                format!("they are joined in more than {MOST_WAYS} ways; one runs through {}", words::point(piece.at)),
            )
        }
        None => touching(&pieces, &way),
    }
}

fn several(pieces: &Pieces, gone: &BTreeSet<u32>, first: Option<u32>) -> (Spot, String) {
    let node = first.or_else(|| gone.first().copied()).unwrap_or_default();
    let piece = &pieces.list[node as usize];
    let mut found = spot(piece, piece.width);
    found.sources = gone.iter().map(|n| pieces.list[*n as usize].source).collect();
    (found, format!("taking away {} pieces, the first at {}, would part them", gone.len(), words::point(piece.at)))
}

/// Points of both names stand on pieces that touch directly.
fn touching(pieces: &Pieces, way: &[u32]) -> (Spot, String) {
    let drawn: Vec<&Piece> = way.iter().filter_map(|n| pieces.list.get(*n as usize)).collect();
    let Some(piece) = drawn.iter().min_by(|a, b| a.area.total_cmp(&b.area)) else {
        return (Spot::default(), String::new());
    };
    let mut found = spot(piece, None);
    found.sources = drawn.iter().map(|p| p.source).collect();
    (found, format!("their own lands touch at {}", words::point(piece.at)))
}

/// Where the points themselves stand: used when no bridge can be worked out.
pub(super) fn at_points(few: &[&Met<'_>], rest: &[&Met<'_>], ground: &Ground<'_>) -> (Spot, String) {
    let sources: Vec<Source> = few.iter().take(1).chain(rest.iter().take(1)).map(|m| m.point.source).collect();
    let at = few.first().map(|m| m.point.at).unwrap_or_default();
    let layer = few.first().and_then(|m| m.nodes.first()).map(|n| ground.geometry.copper[n.0 as usize].layer);
    (Spot { at, layer, sources, ..Spot::default() }, format!("one of their points lies at {}", words::point(at)))
}

fn spot(piece: &Piece, measured: Option<Nm>) -> Spot {
    Spot { at: piece.at, layer: Some(piece.layer), between: None, measured, sources: vec![piece.source] }
}

fn terminals(points: &[&Met<'_>], pieces: &Pieces) -> BTreeSet<u32> {
    let of = |met: &&Met<'_>| -> Vec<u32> {
        met.nodes.iter().flat_map(|(layer, _)| pieces.under(*layer, met.point.at, met.point.reach)).collect()
    };
    points.iter().flat_map(of).collect()
}

/// The shortest way through the pieces, less those that are gone; ends included.
fn shortest(pieces: &Pieces, from: &BTreeSet<u32>, to: &BTreeSet<u32>, gone: &BTreeSet<u32>) -> Option<Vec<u32>> {
    const UNSEEN: u32 = u32::MAX;
    let mut before = vec![UNSEEN; pieces.nodes()];
    let mut queue: VecDeque<u32> = from.iter().copied().collect();
    from.iter().for_each(|n| before[*n as usize] = *n);
    while let Some(node) = queue.pop_front() {
        if to.contains(&node) {
            let mut way = vec![node];
            let mut at = node;
            while before[at as usize] != at {
                at = before[at as usize];
                way.push(at);
            }
            return Some(way);
        }
        for next in pieces.next(node) {
            if before[*next as usize] == UNSEEN && !gone.contains(next) {
                before[*next as usize] = node;
                queue.push_back(*next);
            }
        }
    }
    None
}

/// Drawn pieces of a way that carry no point of either side, smallest first.
fn inner(pieces: &Pieces, from: &BTreeSet<u32>, to: &BTreeSet<u32>, way: &[u32]) -> Vec<u32> {
    let drawn = |n: &&u32| (**n as usize) < pieces.list.len() && !from.contains(n) && !to.contains(n);
    let mut out: Vec<u32> = way.iter().filter(drawn).copied().collect();
    out.sort_by(|a, b| pieces.list[*a as usize].area.total_cmp(&pieces.list[*b as usize].area).then(a.cmp(b)));
    out
}

/// The smallest piece of a way whose removal alone parts the two sides.
fn single_cut(pieces: &Pieces, from: &BTreeSet<u32>, to: &BTreeSet<u32>, way: &[u32]) -> Option<u32> {
    let parts = |n: &u32| shortest(pieces, from, to, &BTreeSet::from([*n])).is_none();
    inner(pieces, from, to, way).into_iter().take(TRIED).find(parts)
}
