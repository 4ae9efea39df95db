//! Thin mask inside one opening: tongues that reach into it, and pieces that stand alone in it.
//!
//! Method: tongues are widths of the mask, found as widths of copper are, on the opening's outer
//! edge seen from the mask, where they last for 0.1 mm. A piece that stands alone is as wide as its convex hull is across its
//! narrowest direction.

use landgap_parser::{Nm, Point};

use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, uncertainty, width};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::{Span, float, length, orientation, round};
use crate::geometry::edges::EdgeIndex;
use crate::geometry::{LayerImage, engine, shape};

/// Mask thinner than this is left by rounding between objects drawn to touch; no process leaves it standing.
const ROUNDING: f64 = 10_000.0;

/// A tongue stays about as thin for at least so far; less is the tip of a corner.
const RUN: f64 = 100_000.0;

/// Every opening of every mask.
pub(super) fn inside_openings(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for (position, image) in bench.geometry.masks.iter().enumerate() {
        let mut candidates: Vec<Candidate> = tongues(image).into_iter().chain(alone(image)).collect();
        candidates.retain(|c| c.value >= ROUNDING);
        found.looked_at += image.islands.len() as u64;
        let lines = &bench.mask_lines[position];
        found.facts.extend(spread(candidates).into_iter().map(|c| {
            let base = c.fact(FactKind::MaskSliver, image.layer, 2 * uncertainty::boundary(image.step));
            Fact { sources: lines.both(base.from, base.to), same_net: true, ..base }
        }));
    }
    found
}

/// Widths of mask between two stretches of one opening's outer edge.
fn tongues(image: &LayerImage) -> Vec<Candidate> {
    let turned = |points: &Vec<Point>| points.iter().rev().copied().collect::<Vec<_>>();
    let outer: Vec<Vec<Point>> = image.islands.iter().map(|i| turned(&i.contours[0])).collect();
    // Round and square openings have no tongue; only edges that turn back can.
    let index = EdgeIndex::of_contours(&outer);
    let bent: Vec<bool> = outer.iter().map(|c| turns_back(c)).collect();
    let lasting = |c: &Candidate| lasts(&index, &c.span);
    width::chords(&index, |island| bent[island as usize]).into_iter().filter(lasting).collect()
}

/// Whether the mask is about as thin at [`RUN`] from a chord across it, to one side or the other.
fn lasts(index: &EdgeIndex, span: &Span) -> bool {
    let (mx, my) = span.middle();
    let (dx, dy) = ((span.to.0 - span.from.0) / span.length, (span.to.1 - span.from.1) / span.length);
    let thin = |way: f64| {
        let at = round((mx - dy * RUN * way, my + dx * RUN * way));
        let reach = span.length.ceil() as Nm;
        let near = index.nearest(&[at], reach, |_, _| true).map(|(_, s)| s.length / span.length);
        near.is_some_and(|share| (0.4..=0.6).contains(&share))
    };
    thin(1.0) || thin(-1.0)
}

/// Whether a clockwise contour has a corner that turns left.
fn turns_back(contour: &[Point]) -> bool {
    let n = contour.len();
    (0..n).any(|i| {
        let (a, b, c) = (contour[i], contour[(i + 1) % n], contour[(i + 2) % n]);
        // Rounded corners of a straight or round edge turn by less than this.
        orientation(a, b, c) as f64 > 0.02 * a.distance(b) * b.distance(c)
    })
}

/// Pieces of mask that stand alone in an opening.
fn alone(image: &LayerImage) -> Vec<Candidate> {
    let mut out = Vec::new();
    for (number, island) in (0u32..).zip(&image.islands) {
        for piece in &island.contours[1..] {
            let around: f64 = piece.iter().zip(piece.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum();
            let mean = engine::doubled_area(piece).unsigned_abs() as f64 / around.max(1.0);
            if mean <= HORIZON as f64 {
                out.extend(narrowest(piece).map(|span| Candidate { value: span.length, span, pair: (number, number) }));
            }
        }
    }
    out
}

/// The narrowest way across a shape's convex hull: from one of its sides to the corner farthest from it.
fn narrowest(contour: &[Point]) -> Option<Span> {
    let hull = shape::hull(contour.to_vec());
    let n = hull.len();
    let mut best: Option<Span> = None;
    let mut far = 1;
    for i in 0..n {
        let (a, b) = (hull[i], hull[(i + 1) % n]);
        let base = a.distance(b);
        let off = |k: usize| orientation(a, b, hull[k % n]) as f64 / base;
        // The farthest corner only ever moves on with the side.
        while off(far + 1) > off(far) {
            far += 1;
        }
        let height = off(far);
        if height > 0.0 && best.is_none_or(|s| height < s.length) {
            let (corner, (dx, dy)) = (float(hull[far % n]), ((b.x - a.x) as f64 / base, (b.y - a.y) as f64 / base));
            let foot = (corner.0 + dy * height, corner.1 - dx * height);
            best =
                Some(Span { length: length(corner.0 - foot.0, corner.1 - foot.1), from: foot, to: corner, run: None });
        }
    }
    best.filter(|s| s.length <= HORIZON as f64)
}
