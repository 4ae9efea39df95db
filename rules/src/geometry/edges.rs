//! Boundaries of a layer's islands in a spatial index: who is near, who is inside.

use std::ops::{ControlFlow, Range};

use landgap_parser::{Nm, Point};

use super::distance::{Segment, Span, point_segment, segment_segment, whole};
use super::grid::Grid;
use super::layer::{Bounds, Island};

/// One straight piece of an island's boundary; material lies to its left.
#[derive(Clone, Copy, Debug)]
pub struct BoundaryEdge {
    /// The piece.
    pub segment: Segment,
    /// Island it bounds, by index.
    pub island: u32,
    /// Contour of that island, 0 for the outer one.
    pub contour: u32,
}

/// Neighbouring pieces of one contour, found together: the index holds a tenth of the boxes, and
/// whole runs are passed over at a glance.
#[derive(Clone, Copy, Debug)]
pub struct Run {
    start: u32,
    end: u32,
    /// Island all its pieces bound.
    pub island: u32,
}

impl Run {
    /// Numbers of its pieces.
    #[must_use]
    pub const fn edges(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// Most pieces in a run.
const RUN: usize = 12;

/// Longest side of a run's box, unless one piece alone is longer.
const RUN_SIDE: Nm = 150_000;

/// All boundary edges of one layer.
pub struct EdgeIndex {
    edges: Vec<BoundaryEdge>,
    runs: Vec<(Bounds, Run)>,
    grid: Grid<Run>,
}

/// The box round a straight piece.
#[must_use]
pub fn boxed(s: Segment) -> Bounds {
    Bounds { min: Point::new(s.a.x.min(s.b.x), s.a.y.min(s.b.y)), max: Point::new(s.a.x.max(s.b.x), s.a.y.max(s.b.y)) }
}

/// Square of the distance between two boxes.
pub(super) fn apart(a: &Bounds, b: &Bounds) -> f64 {
    let dx = (a.min.x - b.max.x).max(b.min.x - a.max.x).max(0) as f64;
    let dy = (a.min.y - b.max.y).max(b.min.y - a.max.y).max(0) as f64;
    dx * dx + dy * dy
}

/// Cuts the edges into runs.
fn runs(edges: &[BoundaryEdge]) -> Vec<(Bounds, Run)> {
    let mut out: Vec<(Bounds, Run)> = Vec::with_capacity(edges.len() / 4);
    for (i, edge) in edges.iter().enumerate() {
        let own = boxed(edge.segment);
        if let Some((bounds, run)) = out.last_mut() {
            let mut both = *bounds;
            both.add(own.min);
            both.add(own.max);
            let first = &edges[run.start as usize];
            let one_contour = (first.island, first.contour) == (edge.island, edge.contour);
            if one_contour && i - (run.start as usize) < RUN && both.width().max(both.height()) <= RUN_SIDE {
                (run.end, *bounds) = (i as u32 + 1, both);
                continue;
            }
        }
        out.push((own, Run { start: i as u32, end: i as u32 + 1, island: edge.island }));
    }
    out
}

impl EdgeIndex {
    /// Indexes the boundaries of some islands.
    #[must_use]
    pub fn new(islands: &[Island]) -> Self {
        let mut edges = Vec::with_capacity(islands.iter().flat_map(|i| &i.contours).map(Vec::len).sum());
        for (island, shape) in islands.iter().enumerate() {
            for (contour, points) in shape.contours.iter().enumerate() {
                push_contour(&mut edges, points, island as u32, contour as u32);
            }
        }
        Self::build(edges)
    }

    /// Indexes bare closed contours, each as its own island.
    #[must_use]
    pub fn of_contours(contours: &[Vec<Point>]) -> Self {
        let mut edges = Vec::new();
        for (number, points) in contours.iter().enumerate() {
            push_contour(&mut edges, points, number as u32, 0);
        }
        Self::build(edges)
    }

    fn build(edges: Vec<BoundaryEdge>) -> Self {
        let runs = runs(&edges);
        let grid = Grid::new(runs.iter().copied());
        Self { edges, runs, grid }
    }

    /// The edges in order of island, contour and position.
    #[must_use]
    pub fn edges(&self) -> &[BoundaryEdge] {
        &self.edges
    }

    /// The runs the edges are indexed in, in their order, each with its box.
    #[must_use]
    pub fn runs(&self) -> &[(Bounds, Run)] {
        &self.runs
    }

    /// Calls `visit` with every run whose box meets `bounds`.
    pub fn runs_near(&self, bounds: Bounds, visit: impl FnMut(&Bounds, Run)) {
        self.grid.each(bounds, visit);
    }

    /// Calls `visit` with the number of every edge whose box meets `bounds`.
    pub fn near(&self, bounds: Bounds, mut visit: impl FnMut(usize)) {
        let _ = self.near_until(bounds, |i| {
            visit(i);
            ControlFlow::Continue(())
        });
    }

    /// Calls `visit` with the number of every edge of the islands that `admits` whose box meets `bounds`.
    pub fn near_of(&self, bounds: Bounds, admits: impl Fn(u32) -> bool, mut visit: impl FnMut(usize)) {
        self.runs_near(bounds, |_, run| {
            if admits(run.island) {
                run.edges().filter(|i| boxed(self.edges[*i].segment).meets(&bounds)).for_each(&mut visit);
            }
        });
    }

    /// Calls `visit` with the number of every edge whose box meets `bounds`, until it breaks.
    pub fn near_until(&self, bounds: Bounds, mut visit: impl FnMut(usize) -> ControlFlow<()>) -> ControlFlow<()> {
        self.grid.visit(bounds, |_, run| {
            run.edges().filter(|i| boxed(self.edges[*i].segment).meets(&bounds)).try_for_each(&mut visit)
        })
    }

    /// The shortest way from a path (one point, or several joined) to an edge that `admits`, within `reach`.
    /// Pieces of one contour are admitted together.
    pub fn nearest(
        &self,
        path: &[Point],
        reach: Nm,
        admits: impl Fn(usize, &BoundaryEdge) -> bool,
    ) -> Option<(usize, Span)> {
        let mut radius = (reach / 8).max(1);
        loop {
            let found = self.nearest_within(path, radius, &admits);
            if found.is_some() || radius >= reach {
                return found;
            }
            radius = (radius * 3).min(reach);
        }
    }

    fn nearest_within(
        &self,
        path: &[Point],
        radius: Nm,
        admits: &impl Fn(usize, &BoundaryEdge) -> bool,
    ) -> Option<(usize, Span)> {
        let around = Bounds::of(path);
        let mut best: Option<(usize, Span)> = None;
        self.runs_near(around.grown(radius), |bounds, run| {
            let start = run.edges().start;
            if apart(&around, bounds) <= limit(radius, best) && admits(start, &self.edges[start]) {
                self.nearest_of(path, &around, run, radius, &mut best);
            }
        });
        best
    }

    /// The shortest way from a point to an edge that `admits`, each edge admitted by itself, within `reach`.
    pub fn nearest_each(&self, from: Point, reach: Nm, admits: impl Fn(&BoundaryEdge) -> bool) -> Option<Span> {
        let mut best: Option<Span> = None;
        self.near(Bounds { min: from, max: from }.grown(reach), |i| {
            let span = path_segment(&[from], self.edges[i].segment);
            let nearer = span.length <= best.map_or(reach as f64, |b| b.length);
            if nearer && admits(&self.edges[i]) {
                best = Some(span);
            }
        });
        best
    }

    /// Compares the pieces of one run with the nearest found so far.
    pub(super) fn nearest_of(
        &self,
        path: &[Point],
        around: &Bounds,
        run: Run,
        radius: Nm,
        best: &mut Option<(usize, Span)>,
    ) {
        for i in run.edges() {
            let segment = self.edges[i].segment;
            if apart(around, &boxed(segment)) > limit(radius, *best) {
                continue;
            }
            let span = path_segment(path, segment);
            let better = best.is_none_or(|(j, b)| span.length <= b.length + 1.0 && rank(&span, i) < rank(&b, j));
            if span.length <= radius as f64 && better {
                *best = Some((i, span));
            }
        }
    }

    /// The island that holds a point, if one does.
    #[must_use]
    pub fn island_at(&self, p: Point) -> Option<u32> {
        let Bounds { min, max } = self.grid.bounds();
        if p.x < min.x || p.x > max.x || p.y < min.y || p.y > max.y {
            return None;
        }
        let to_right = max.x - p.x <= p.x - min.x;
        let ray = if to_right {
            Bounds { min: p, max: Point::new(max.x, p.y) }
        } else {
            Bounds { min: Point::new(min.x, p.y), max: p }
        };
        let mut crossed: Vec<u32> = Vec::new();
        self.near(ray, |i| {
            let edge = &self.edges[i];
            if ray_meets(p, edge.segment, to_right) {
                crossed.push(edge.island);
            }
        });
        crossed.sort_unstable();
        crossed.chunk_by(|a, b| a == b).find(|run| run.len() % 2 == 1).map(|run| run[0])
    }

    /// The contours that enclose a point, each by its own crossings, in order of number.
    #[must_use]
    pub fn enclosers(&self, p: Point) -> Vec<u32> {
        let right = self.grid.bounds().max.x.max(p.x);
        let mut crossed: Vec<u32> = Vec::new();
        self.near(Bounds { min: p, max: Point::new(right, p.y) }, |i| {
            let edge = &self.edges[i];
            if ray_meets(p, edge.segment, true) {
                crossed.push(edge.island);
            }
        });
        crossed.sort_unstable();
        crossed.chunk_by(|a, b| a == b).filter(|run| run.len() % 2 == 1).map(|run| run[0]).collect()
    }

    /// How many contours enclose a point.
    #[must_use]
    pub fn enclosing(&self, p: Point) -> usize {
        self.enclosers(p).len()
    }
}

/// Square of how far a piece may be and still be the nearest, as the order rounds it.
pub(super) fn limit(radius: Nm, best: Option<(usize, Span)>) -> f64 {
    let far = best.map_or(radius as f64, |(_, span)| (span.length + 2.0).min(radius as f64));
    far * far
}

/// Order among near pieces: by whole nanometres, then those that run alongside, then by number.
fn rank(span: &Span, number: usize) -> (i64, bool, usize) {
    (whole(span.length), span.run.is_none(), number)
}

fn push_contour(edges: &mut Vec<BoundaryEdge>, points: &[Point], island: u32, contour: u32) {
    let next = points.iter().cycle().skip(1);
    for (&a, &b) in points.iter().zip(next) {
        if a != b {
            edges.push(BoundaryEdge { segment: Segment { a, b }, island, contour });
        }
    }
}

/// Whether a level ray from `p` crosses a segment; half-open, so that corners count once.
fn ray_meets(p: Point, s: Segment, to_right: bool) -> bool {
    if (s.a.y > p.y) == (s.b.y > p.y) {
        return false;
    }
    let left_of_upward =
        i128::from(s.b.x - s.a.x) * i128::from(p.y - s.a.y) - i128::from(p.x - s.a.x) * i128::from(s.b.y - s.a.y);
    let crossing_is_right = if s.b.y > s.a.y { left_of_upward > 0 } else { left_of_upward < 0 };
    crossing_is_right == to_right
}

/// The shortest way from a path to a segment.
#[must_use]
pub fn path_segment(path: &[Point], s: Segment) -> Span {
    match path {
        [] => Span::FAR,
        [p] => point_segment((p.x as f64, p.y as f64), s),
        _ => path.windows(2).map(|w| segment_segment(Segment { a: w[0], b: w[1] }, s)).fold(Span::FAR, Span::shorter),
    }
}
