//! Where two parts of one net lie nearest to each other.

use landgap_parser::Nm;

use super::stated::Stated;
use super::{Ground, Spot};
use crate::geometry::distance::Span;
use crate::query::words;

/// Parts farther apart than this have no gap worth naming.
const FARTHEST: Nm = 5_000_000;

/// The nearest place between a net and any of some others; the stated point where they lie far apart.
pub(super) fn find(
    net: u32,
    others: &[u32],
    point: Option<&Stated>,
    ground: &Ground<'_>,
    placed: bool,
) -> (Spot, String) {
    let mut best: Option<(usize, Span)> = None;
    if placed {
        for layer in 0..ground.copper.len() {
            let reach = best.as_ref().map_or(FARTHEST, |(_, s)| s.length.ceil() as Nm);
            let found = on_layer(layer, net, others, reach, ground);
            best = match (best, found) {
                (Some(b), Some(f)) if f.length < b.1.length => Some((layer, f)),
                (None, Some(f)) => Some((layer, f)),
                (kept, _) => kept,
            };
        }
    }
    let sources: Vec<_> = point.iter().map(|p| p.source).collect();
    match best {
        Some((layer, span)) => {
            let (from, to) = span.points();
            let gap = span.length.round() as Nm;
            let spot = Spot {
                at: crate::geometry::distance::round(span.middle()),
                layer: ground.geometry.copper.get(layer).map(|l| l.layer),
                between: Some((from, to)),
                measured: Some(gap),
                sources,
            };
            (spot, format!("its parts come nearest at {}, {} apart", words::point(spot_at(&span)), words::length(gap)))
        }
        None => {
            let at = point.map_or_else(Default::default, |p| p.at);
            let what = point.filter(|p| !p.pin.is_empty()).map_or_else(String::new, |p| format!(" ({})", p.pin));
            let spot = Spot { at, sources, ..Spot::default() };
            (
                spot,
                format!(
                    "the part at {}{what} lies more than 5 mm from the others or on other layers",
                    words::point(at)
                ),
            )
        }
    }
}

fn spot_at(span: &Span) -> landgap_parser::Point {
    crate::geometry::distance::round(span.middle())
}

fn on_layer(layer: usize, net: u32, others: &[u32], reach: Nm, ground: &Ground<'_>) -> Option<Span> {
    let islands = &ground.geometry.copper[layer].islands;
    let index = &ground.copper[layer];
    let edges =
        |net: u32| -> usize { islands.iter().filter(|i| i.net == net).flat_map(|i| &i.contours).map(Vec::len).sum() };
    let (mine, theirs) = (edges(net), others.iter().map(|n| edges(*n)).sum::<usize>());
    if mine == 0 || theirs == 0 {
        return None;
    }
    let is_mine = |island: u32| islands[island as usize].net == net;
    let is_theirs = |island: u32| others.contains(&islands[island as usize].net);
    let from_mine = mine <= theirs;
    let mut best: Option<Span> = None;
    for edge in index.edges() {
        let walks = if from_mine { is_mine(edge.island) } else { is_theirs(edge.island) };
        if !walks {
            continue;
        }
        let reach = best.as_ref().map_or(reach, |b| b.length.ceil() as Nm);
        let admits = |island: u32| if from_mine { is_theirs(island) } else { is_mine(island) };
        let found = index.nearest(&[edge.segment.a, edge.segment.b], reach, |_, e| admits(e.island));
        if let Some((_, span)) = found
            && best.as_ref().is_none_or(|b| span.length < b.length)
        {
            best = Some(span);
        }
    }
    best
}
