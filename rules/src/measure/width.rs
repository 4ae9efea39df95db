//! Width: how thin copper gets over a stretch at least as long as it is wide.
//!
//! Method: a width is twice the radius of a largest disc that fits in the copper and touches the
//! boundary at two opposite points. For every straight piece of boundary the nearest piece facing
//! it across the copper is found; the disc on that chord must be empty of boundary; and copper must
//! stay that thin over a length no less than the width. Corners, wedges and pad shoulders have no
//! two opposite touching points, and a round land is thin over no length at all.

use std::ops::ControlFlow;

use landgap_parser::{Nm, Point};

use super::sliver::Tongues;
use super::spread::{Candidate, spread};
use super::{Bench, Found, HORIZON, in_parallel, plane_web, uncertainty};
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, Span, point_segment, segment_segment};
use crate::geometry::edges::{BoundaryEdge, EdgeIndex, Run, boxed};
use crate::geometry::flatten::FLATTENING;

/// Cosine of the angle two facing pieces may deviate from opposite.
const FACING: f64 = 0.94;

/// Widths on one copper layer, by position, and the webs of planes among them. Tongues have a measure of their own.
pub(super) fn copper(bench: &Bench<'_>, layer: usize, tongues: &Tongues) -> (Found, Found) {
    let image = &bench.geometry.copper[layer];
    let index = &bench.copper[layer];
    let mut candidates = chords(index, |_| true);
    candidates.retain(|c| !tongues.hold(&c.span));
    let webs = plane_web::take(bench, layer, &mut candidates);
    let provenance = &bench.copper_lines[layer];
    let u = 2 * uncertainty::boundary(image.step);
    let fact = |c: Candidate| {
        let base = c.fact(FactKind::Width, image.layer, u);
        let net = image.islands[c.pair.0 as usize].net;
        // The copper stays that thin for at least its own width, or it would be no width.
        let length = base.length.unwrap_or(0).max(base.value);
        Fact {
            nets: vec![net],
            sources: provenance.both(base.from, base.to),
            length: Some(length),
            same_net: true,
            ..base
        }
    };
    let facts = spread(candidates).into_iter().map(fact).collect();
    (Found { facts, looked_at: index.edges().len() as u64 }, webs)
}

/// Corners of a round land lie at least this share of its radius from its middle.
const ROUND: f64 = 0.98;

/// How many facing pieces to try from one piece of boundary before giving up.
const TRIES: usize = 16;

/// Runs of boundary searched by one thread in one go.
const PART: usize = 1_024;

/// The narrowest true chord from every piece of boundary of the islands wanted, across the copper, where it lasts.
pub(super) fn chords(index: &EdgeIndex, of: impl Fn(u32) -> bool) -> Vec<Candidate> {
    let normals: Vec<(f64, f64)> = index.edges().iter().map(inward).collect();
    let mut wanted: Vec<(Nm, Bounds, Run)> = Vec::with_capacity(index.runs().len());
    for of_island in index.runs().chunk_by(|a, b| a.1.island == b.1.island) {
        let reach = if of(of_island[0].1.island) { reach(index, of_island) } else { 0 };
        wanted.extend(of_island.iter().filter(|_| reach > 0).map(|(bounds, run)| (reach, *bounds, *run)));
    }
    let parts: Vec<&[(Nm, Bounds, Run)]> = wanted.chunks(PART).collect();
    let of_part = |part: &&[(Nm, Bounds, Run)]| {
        let mut across = Across { index, normals: &normals, around: Vec::new(), facing: Vec::new() };
        part.iter().flat_map(|(reach, bounds, run)| across.run(bounds, *run, *reach)).collect::<Vec<Candidate>>()
    };
    in_parallel(&parts, of_part).into_iter().flatten().collect()
}

/// The widest an island can be and still last, by the discs on a lasting chord and beside it: together
/// they reach 1.7 widths. 0 for a round land, which is thin over no length.
fn reach(index: &EdgeIndex, runs: &[(Bounds, Run)]) -> Nm {
    let mut bounds = Bounds::EMPTY;
    for (b, _) in runs {
        bounds.add(b.min);
        bounds.add(b.max);
    }
    let Some((first, last)) = runs.first().zip(runs.last()) else { return 0 };
    let edges = &index.edges()[first.1.edges().start..last.1.edges().end];
    if is_round(&bounds, edges) {
        return 0;
    }
    HORIZON.min((bounds.width() as f64).hypot(bounds.height() as f64).div_euclid(1.7) as Nm + 1)
}

/// Whether all corners lie about as far from the middle of the box, and close to each other.
fn is_round(bounds: &Bounds, edges: &[BoundaryEdge]) -> bool {
    let half = (bounds.width().max(bounds.height())) as f64 / 2.0;
    let (x, y) = ((bounds.min.x + bounds.max.x) as f64 / 2.0, (bounds.min.y + bounds.max.y) as f64 / 2.0);
    let on_circle = |e: &BoundaryEdge| {
        let (dx, dy) = (e.segment.a.x as f64 - x, e.segment.a.y as f64 - y);
        let off = (dx * dx + dy * dy).sqrt() / half;
        (ROUND..=2.0 - ROUND).contains(&off) && e.segment.a.distance(e.segment.b) <= half
    };
    edges.iter().all(on_circle)
}

/// Unit normal of a piece of boundary, into the copper.
fn inward(edge: &BoundaryEdge) -> (f64, f64) {
    let (dx, dy) = ((edge.segment.b.x - edge.segment.a.x) as f64, (edge.segment.b.y - edge.segment.a.y) as f64);
    let length = (dx * dx + dy * dy).sqrt();
    (-dy / length, dx / length)
}

/// Looks across the copper from one run of boundary after another.
struct Across<'a> {
    index: &'a EdgeIndex,
    normals: &'a [(f64, f64)],
    /// Runs of the same island near the present one.
    around: Vec<(Bounds, Run)>,
    /// Pieces that face the present one.
    facing: Vec<(usize, Span)>,
}

impl Across<'_> {
    fn run(&mut self, bounds: &Bounds, run: Run, reach: Nm) -> Vec<Candidate> {
        let mut out = Vec::new();
        let mut open: Vec<(usize, usize)> = run.edges().map(|i| (i, 0)).collect();
        let mut radius = (HORIZON / 8).min(reach);
        loop {
            self.gather(bounds.grown(radius + 2), run.island);
            open.retain_mut(|(i, tried)| match self.chord(*i, radius, tried) {
                Some(span) => {
                    out.push((*i, span));
                    false
                }
                None => *tried < TRIES,
            });
            if open.is_empty() || radius >= reach {
                break;
            }
            radius = (radius * 3).min(reach);
        }
        out.sort_unstable_by_key(|(i, _)| *i);
        let pair = (run.island, run.island);
        let lasting = out.into_iter().filter(|(_, span)| stays_thin(self.index, span));
        lasting.map(|(_, span)| Candidate { value: span.length, span, pair }).collect()
    }

    fn gather(&mut self, bounds: Bounds, island: u32) {
        let around = &mut self.around;
        around.clear();
        self.index.runs_near(bounds, |b, run| {
            if run.island == island {
                around.push((*b, run));
            }
        });
    }

    /// The shortest way across from one piece within `radius` whose disc is empty. The `tried`
    /// shortest were not, seen from a smaller radius.
    fn chord(&mut self, i: usize, radius: Nm, tried: &mut usize) -> Option<Span> {
        let edge = &self.index.edges()[i];
        let bounds = ahead(edge, self.normals[i], radius);
        self.facing.clear();
        for (_, run) in self.around.iter().filter(|(b, _)| b.meets(&bounds)) {
            for j in run.edges() {
                let other = self.index.edges()[j].segment;
                if opposite(self.normals[i], self.normals[j]) && boxed(other).meets(&bounds) {
                    let span = faces((edge.segment, self.normals[i]), (other, self.normals[j]), radius);
                    self.facing.extend(span.map(|span| (j, span)));
                }
            }
        }
        self.facing.sort_unstable_by(|a, b| a.1.length.total_cmp(&b.1.length).then(a.0.cmp(&b.0)));
        let most = self.facing.len().min(TRIES);
        let fresh = self.facing.get(*tried..most).unwrap_or_default();
        let found = fresh.iter().map(|(_, span)| *span).find(|span| is_empty(self.index, span));
        *tried = most;
        found
    }
}

/// The box that holds every chord from a piece that [`faces`] would take.
fn ahead(edge: &BoundaryEdge, normal: (f64, f64), radius: Nm) -> Bounds {
    let depth = radius as f64;
    let aside = depth * (1.0 - FACING * FACING).sqrt() / FACING;
    let mut bounds = Bounds::of(&[edge.segment.a, edge.segment.b]);
    for end in [edge.segment.a, edge.segment.b] {
        for side in [-aside, aside] {
            let (dx, dy) = (normal.0 * depth - normal.1 * side, normal.1 * depth + normal.0 * side);
            bounds.add(Point::new(end.x + dx.round() as Nm, end.y + dy.round() as Nm));
        }
    }
    bounds.grown(2)
}

/// Whether two pieces with these normals face opposite ways.
fn opposite(a: (f64, f64), b: (f64, f64)) -> bool {
    a.0 * b.0 + a.1 * b.1 <= -FACING
}

/// The way from one piece to another across copper, if it is square to both and no longer than `radius`.
fn faces((edge, normal): (Segment, (f64, f64)), (other, theirs): (Segment, (f64, f64)), radius: Nm) -> Option<Span> {
    let span = segment_segment(edge, other);
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let least = FACING * span.length;
    let into = dx * normal.0 + dy * normal.1 >= least && dx * theirs.0 + dy * theirs.1 <= -least;
    (into && span.length > 1.0 && span.length <= radius as f64).then_some(span)
}

/// Whether the disc on a chord holds no other boundary.
fn is_empty(index: &EdgeIndex, span: &Span) -> bool {
    let half = span.length / 2.0;
    let least = half - 2.5 * FLATTENING as f64;
    let at = span.middle();
    let clear = |i: usize| {
        let distance = point_segment(at, index.edges()[i].segment).length;
        if distance < least { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    index.near_until(round_about(at, half), clear).is_continue()
}

/// The box round a disc.
fn round_about(at: (f64, f64), reach: f64) -> Bounds {
    let point = crate::geometry::distance::round(at);
    Bounds { min: point, max: point }.grown(reach.ceil() as Nm)
}

/// Whether copper stays about as thin over a length of one width, to one side or round the chord.
fn stays_thin(index: &EdgeIndex, span: &Span) -> bool {
    let (mx, my) = span.middle();
    let (dx, dy) = (span.to.0 - span.from.0, span.to.1 - span.from.1);
    let thin = |part: f64| is_as_thin(index, (mx - dy * part, my + dx * part), span.length);
    let (back, ahead) = (thin(-0.5), thin(0.5));
    (ahead && (back || thin(1.0))) || (back && thin(-1.0))
}

/// Whether a point lies in copper about as far from the boundary as half of `width`. At a corner
/// both pieces are as near; the one whose line lies farther off tells the side.
fn is_as_thin(index: &EdgeIndex, at: (f64, f64), width: f64) -> bool {
    let (least, most) = (width * 0.35, width * 0.58);
    let mut best: Option<(f64, f64)> = None;
    let thinner = index.near_until(round_about(at, width * 0.6), |i| {
        let segment = index.edges()[i].segment;
        let distance = point_segment(at, segment).length;
        if distance < least {
            return ControlFlow::Break(());
        }
        if distance <= most && best.is_none_or(|(b, _)| distance <= b) {
            let off = height(segment, at);
            if best.is_none_or(|(b, other)| distance < b || off.abs() > other.abs()) {
                best = Some((distance, off));
            }
        }
        ControlFlow::Continue(())
    });
    thinner.is_continue() && best.is_some_and(|(_, off)| off > 0.0)
}

/// How far a point lies to the left of the line through a segment.
fn height(s: Segment, at: (f64, f64)) -> f64 {
    let (dx, dy) = ((s.b.x - s.a.x) as f64, (s.b.y - s.a.y) as f64);
    (dx * (at.1 - s.a.y as f64) - dy * (at.0 - s.a.x as f64)) / (dx * dx + dy * dy).sqrt()
}
