//! Chords across the board's material and across its cut-outs: bridges, tabs, narrow cut-outs.
//!
//! Every piece of the outline looks straight ahead, into the material or into the cut-out, for the nearest
//! piece that faces it. Pieces that are near only because they are neighbours round a corner do not count:
//! along the contour they must lie at least three times as far apart as straight across.

use landgap_parser::{Nm, Point};

use super::spread::{Candidate, spread};
use super::{Bench, Found, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span, float, round, segment_segment};
use crate::geometry::edges::EdgeIndex;

/// Material thinner than this is kept as a fact.
const MATERIAL: Nm = FactKind::Bridge.own_horizon().unwrap();
/// Cut-outs narrower than this are kept as facts.
const CUT_OUT: Nm = FactKind::CutOut.own_horizon().unwrap();
/// Contours up to this size each way are holes drawn in the outline, which may stand close to each other.
const HOLE: Nm = 1_200_000;
/// Contours up to this size each way are openings for a pin or a tongue: what lies beside them is too short to be a
/// strip, and is kept as a distance from a hole to the edge.
const OPENING: Nm = 3_500_000;
/// A cut wider than this is no routed slot between a board and its frame.
const SLOT: Nm = 4_000_000;
/// Pieces of outline looked at before the outline is called too intricate.
const MOST_LOOKS: u64 = 60_000_000;
/// Cosine of the angle two facing pieces may deviate from opposite.
const FACING: f64 = 0.94;

/// What lies between the two ends of a chord.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Across {
    Material,
    CutOut,
}

/// The kinds of fact measured here.
pub(super) const KINDS: [FactKind; 4] = [FactKind::Bridge, FactKind::Tab, FactKind::CutOut, FactKind::HoleToEdge];

/// Facts of each of [`KINDS`]; or why they could not be measured.
pub(super) fn all(bench: &Bench<'_>) -> Result<[Found; 4], String> {
    let Some(cuts) = Cuts::of(bench) else { return Ok(Default::default()) };
    let mut looks = 0;
    let material = cuts.chords(Across::Material, MATERIAL, &mut looks)?;
    let (beside, material): (Vec<Candidate>, Vec<Candidate>) = material.into_iter().partition(|c| cuts.is_opening(c));
    let near = beside.into_iter().filter(|c| c.value <= FactKind::HoleToEdge.own_horizon().unwrap_or(0) as f64);
    let (tabs, bridges): (Vec<Candidate>, Vec<Candidate>) = material.into_iter().partition(|c| cuts.is_tab(&c.span));
    let gaps = cuts.chords(Across::CutOut, CUT_OUT, &mut looks)?;
    let found = |kind, list| Found { facts: facts(bench, kind, list), looked_at: cuts.index.edges().len() as u64 };
    Ok([
        found(FactKind::Bridge, bridges),
        found(FactKind::Tab, tabs),
        found(FactKind::CutOut, gaps),
        Found { facts: facts(bench, FactKind::HoleToEdge, near.collect()), looked_at: 0 },
    ])
}

fn facts(bench: &Bench<'_>, kind: FactKind, candidates: Vec<Candidate>) -> Vec<Fact> {
    let outline = &bench.board.outline;
    let fact = |c: Candidate| {
        let (from, to) = c.span.points();
        Fact {
            kind,
            layer: None,
            value: c.value.round() as Nm,
            uncertainty: 2 * uncertainty::boundary(outline.step),
            from,
            to,
            nets: Vec::new(),
            holes: Vec::new(),
            sources: super::edge::outline_source(bench).into_iter().collect(),
            length: c.span.run_length(),
            run: c.span.run,
            same_net: false,
        }
    };
    spread(candidates).into_iter().map(fact).collect()
}

/// The outline with what its pieces know of each other.
struct Cuts<'a> {
    index: &'a EdgeIndex,
    holds: Box<dyn Fn(Point) -> bool + 'a>,
    /// By contour: 1 where material lies to the left of its pieces, -1 where to the right.
    side: Vec<f64>,
    /// By piece: length of its contour up to its start.
    along: Vec<f64>,
    /// By contour: its whole length.
    round: Vec<f64>,
    /// By contour: its size each way.
    extent: Vec<(Nm, Nm)>,
}

impl<'a> Cuts<'a> {
    fn of(bench: &'a Bench<'_>) -> Option<Self> {
        let edge = bench.edge?;
        let contours = &bench.geometry.outline;
        let mut along = Vec::with_capacity(edge.index.edges().len());
        let mut round = vec![0.0; contours.len()];
        for piece in edge.index.edges() {
            let length = &mut round[piece.island as usize];
            along.push(*length);
            *length += piece.segment.a.distance(piece.segment.b);
        }
        let extent = |c: &Vec<Point>| {
            let b = Bounds::of(c);
            (b.width(), b.height())
        };
        Some(Self {
            index: &edge.index,
            holds: Box::new(|p| edge.holds(p)),
            side: super::corner::sides(contours, &edge.index),
            along,
            round,
            extent: contours.iter().map(extent).collect(),
        })
    }

    fn is_hole(&self, contour: u32) -> bool {
        self.longest(contour) <= HOLE
    }

    /// Whether a chord ends at a small opening; the board's own edge is none.
    fn is_opening(&self, c: &Candidate) -> bool {
        self.longest(c.pair.0).min(self.longest(c.pair.1)) <= OPENING
    }

    fn longest(&self, contour: u32) -> Nm {
        let (w, h) = self.extent[contour as usize];
        w.max(h)
    }

    /// Every piece with the nearest one that faces it.
    fn chords(&self, across: Across, reach: Nm, looks: &mut u64) -> Result<Vec<Candidate>, String> {
        let mut out = Vec::new();
        for i in 0..self.index.edges().len() {
            if let Some(candidate) = self.chord(i, across, reach, looks) {
                out.push(candidate);
            }
            if *looks > MOST_LOOKS {
                return Err("the outline is too intricate to look across every part of it".to_owned());
            }
        }
        Ok(out)
    }

    fn chord(&self, i: usize, across: Across, reach: Nm, looks: &mut u64) -> Option<Candidate> {
        let mine = self.index.edges()[i];
        if self.is_hole(mine.island) {
            return None;
        }
        let ahead = self.ahead(i, across);
        let mut radius = reach / 4;
        loop {
            let found = self.nearest_facing(i, ahead, across, radius, looks);
            if found.is_some() || radius >= reach {
                return found.filter(|c| self.is_across(c, across));
            }
            radius = (radius * 2).min(reach);
        }
    }

    fn nearest_facing(
        &self,
        i: usize,
        ahead: (f64, f64),
        across: Across,
        radius: Nm,
        looks: &mut u64,
    ) -> Option<Candidate> {
        let mine = self.index.edges()[i];
        let mut best: Option<Candidate> = None;
        let around = Bounds::of(&[mine.segment.a, mine.segment.b]).grown(radius);
        self.index.near(around, |j| {
            *looks += 1;
            let other = self.index.edges()[j];
            let theirs = self.ahead(j, across);
            if ahead.0 * theirs.0 + ahead.1 * theirs.1 > -FACING || self.is_hole(other.island) {
                return;
            }
            let span = segment_segment(mine.segment, other.segment);
            let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
            let straight = dx * ahead.0 + dy * ahead.1 >= FACING * span.length;
            let better = best.is_none_or(|b| span.length < b.value);
            if !straight || !better || span.length < 1.0 || span.length > radius as f64 {
                return;
            }
            if mine.island == other.island && self.way_round(i, j) < 3.0 * span.length {
                return;
            }
            let pair = (mine.island.min(other.island), mine.island.max(other.island));
            best = Some(Candidate { value: span.length, span, pair });
        });
        best
    }

    /// Unit normal of a piece, into the material or out of it.
    fn ahead(&self, i: usize, across: Across) -> (f64, f64) {
        let edge = self.index.edges()[i];
        let (a, b) = (float(edge.segment.a), float(edge.segment.b));
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        let side = self.side[edge.island as usize] * if across == Across::Material { 1.0 } else { -1.0 };
        (-dy / length * side, dx / length * side)
    }

    /// Between two pieces of one contour, the shorter way along it.
    fn way_round(&self, i: usize, j: usize) -> f64 {
        let whole = self.round[self.index.edges()[i].island as usize];
        let apart = (self.along[i] - self.along[j]).abs();
        apart.min(whole - apart)
    }

    /// Whether the middle of a chord lies where it should; a cut-out is narrow only inside the board's own edge.
    fn is_across(&self, c: &Candidate, across: Across) -> bool {
        let middle = round(c.span.middle());
        match across {
            Across::Material => (self.holds)(middle),
            Across::CutOut => !(self.holds)(middle) && self.index.enclosing(middle) > 0,
        }
    }

    /// Whether a chord joins the ends of two narrow cuts that lie in line with it.
    fn is_tab(&self, span: &Span) -> bool {
        let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
        let ahead = (dx / span.length, dy / span.length);
        self.is_end(span.to, ahead) && self.is_end(span.from, (-ahead.0, -ahead.1))
    }

    /// Whether a narrow cut begins at a point and goes on in a direction.
    fn is_end(&self, at: (f64, f64), (dx, dy): (f64, f64)) -> bool {
        const INSIDE: f64 = 1_000_000.0;
        let slot = SLOT as f64;
        let inside = (at.0 + dx * INSIDE, at.1 + dy * INSIDE);
        let Some(left) = self.free(inside, (-dy, dx), slot) else { return false };
        let Some(right) = self.free(inside, (dy, -dx), slot) else { return false };
        let width = left + right;
        width <= slot && self.free(inside, (dx, dy), 1.5 * width).is_none() && !(self.holds)(round(inside))
    }

    /// How far a ray goes before it meets the outline; `None` where it goes farther than `most`.
    fn free(&self, from: (f64, f64), (dx, dy): (f64, f64), most: f64) -> Option<f64> {
        let ray = Segment { a: round(from), b: round((from.0 + dx * most, from.1 + dy * most)) };
        let mut least: Option<f64> = None;
        self.index.near(Bounds::of(&[ray.a, ray.b]), |i| {
            let span = segment_segment(ray, self.index.edges()[i].segment);
            if span.length < 1.0 {
                let way = (span.from.0 - from.0).hypot(span.from.1 - from.1);
                least = Some(least.map_or(way, |l: f64| l.min(way)));
            }
        });
        least
    }
}
