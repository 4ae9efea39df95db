//! Solder mask: the web left between openings, and openings against the lands under them.

use landgap_parser::{Point, Polarity, Shape};

use super::openings::Openings;
use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, gap, uncertainty};
use crate::board::{LayerRef, Side};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::Span;
use crate::geometry::edges::EdgeIndex;
use crate::geometry::shape;
use crate::recognise::lands::{Places, SAME_PLACE};

/// How far into an opening to look for the copper it bares.
const INTO: [f64; 3] = [60_000.0, 120_000.0, 240_000.0];

/// Webs between openings, on every mask.
pub(super) fn webs(bench: &Bench<'_>, openings: &Openings<'_>) -> Found {
    let mut found = Found::default();
    for ((image, index), provenance) in bench.geometry.masks.iter().zip(bench.masks).zip(bench.mask_lines) {
        let each: Vec<u32> = (0..image.islands.len() as u32).collect();
        let LayerRef::Mask(side) = image.layer else { continue };
        found.looked_at += index.edges().len() as u64;
        for c in spread(gap::between(index, &each)) {
            let base = c.fact(FactKind::Web, image.layer, 2 * uncertainty::boundary(image.step));
            // Copper just beyond the edge tells the net; in a wide opening its land does.
            let of_land = |opening: u32| openings.side(side)?.list[opening as usize].nets.first().copied();
            let nets = [
                under(bench, side, &c.span.flipped()).or_else(|| of_land(c.pair.0)),
                under(bench, side, &c.span).or_else(|| of_land(c.pair.1)),
            ];
            found.facts.push(Fact {
                nets: nets.iter().flatten().copied().collect(),
                sources: provenance.both(base.from, base.to),
                same_net: nets[0].is_some() && nets[0] == nets[1],
                ..base
            });
        }
    }
    found
}

/// Net of the copper bared beyond the far end of a span.
fn under(bench: &Bench<'_>, side: Side, span: &Span) -> Option<u32> {
    let layer = outer(bench, side)?;
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let length = dx.hypot(dy).max(1.0);
    INTO.iter().find_map(|far| {
        let p = Point::new((span.to.0 + dx / length * far) as i64, (span.to.1 + dy / length * far) as i64);
        let island = bench.copper[layer].island_at(p)?;
        Some(bench.geometry.copper[layer].islands[island as usize].net)
    })
}

/// Position of the outer copper layer under a mask.
fn outer(bench: &Bench<'_>, side: Side) -> Option<usize> {
    match (side, bench.copper.len()) {
        (_, 0) => None,
        (Side::Bottom, n) => Some(n - 1),
        _ => Some(0),
    }
}

/// Opening edge beyond land edge for every flashed land that is opened.
pub(super) fn clearances(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for (image, index) in bench.geometry.masks.iter().zip(bench.masks) {
        let LayerRef::Mask(side) = image.layer else { continue };
        let Some(layer) = outer(bench, side) else { continue };
        let file = bench.board.copper[layer].file;
        let Some(Some(artwork)) = bench.board.images.get(file as usize) else { continue };
        let vias = Places::of_vias(bench.board);
        let mut candidates = Vec::new();
        for object in artwork.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let Shape::Flash { at, .. } = &object.shape else { continue };
            let Some(opening) = index.island_at(*at) else { continue };
            found.looked_at += 1;
            let measured = clearance(index, opening, &shape::contours(artwork, object));
            // Mask on the land of a via is its cover; the opening may be that of a land beside it.
            candidates.extend(measured.filter(|c| c.value >= 0.0 || !vias.has(*at, SAME_PLACE)));
        }
        let u = uncertainty::boundary(image.step) + uncertainty::boundary(bench.geometry.copper[layer].step);
        let provenance = &bench.copper_lines[layer];
        found.facts.extend(spread(candidates).into_iter().map(|c| {
            let (from, to) = c.span.points();
            Fact {
                kind: FactKind::MaskClearance,
                layer: Some(image.layer),
                value: c.value.round() as i64,
                uncertainty: u,
                from,
                to,
                nets: Vec::new(),
                holes: Vec::new(),
                sources: provenance.at(from).into_iter().collect(),
                length: None,
                run: None,
                same_net: false,
            }
        }));
    }
    found
}

/// The least way from a land's edge to its opening's edge; negative where mask lies on the land.
fn clearance(index: &EdgeIndex, opening: u32, land: &[Vec<Point>]) -> Option<Candidate> {
    let outline = land.first()?;
    let mut least: Option<Candidate> = None;
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let Some((_, span)) = index.nearest(&[*a, *b], HORIZON, |_, e| e.island == opening) else { continue };
        let covered = index.island_at(*a) != Some(opening);
        let (value, span) = if covered {
            let depth = index.nearest(&[*a], HORIZON, |_, e| e.island == opening).map_or(span, |(_, s)| s);
            (-depth.length, depth)
        } else {
            (span.length, span)
        };
        if least.is_none_or(|l| value < l.value) {
            least = Some(Candidate { value, span, pair: (opening, opening) });
        }
    }
    least
}
