//! Strokes joined by their centre lines into closed contours.
//!
//! Ends within a snap are one node; what is left with one stroke at a node is a loose end, and two
//! loose ends within a bridge are joined. Strokes that lead nowhere are set aside, the rest is walked.

use std::collections::BTreeMap;

use landgap_parser::{Contour, Edge, Image, Nm, Object, Point, Polarity, Shape};

use super::nodes::Nodes;
use super::tidy;

/// Ends up to this far apart are joined (trade C2, common practice: 50 µm).
pub(super) const BRIDGE: Nm = 50_000;
/// Ends up to this far apart are the same point, written twice.
const SNAP: Nm = 5_000;

/// What the strokes of a file come to.
#[derive(Clone, Debug, Default)]
pub(super) struct Joined {
    /// Closed contours, largest area first.
    pub contours: Vec<Contour>,
    /// Chains that do not close: their two ends.
    pub open: Vec<(Point, Point)>,
    /// Widest gap that was bridged in any of the contours.
    pub bridged: Nm,
    /// Contours with bridged gaps, by start and line, and the widest gap of each.
    gaps: BTreeMap<(Point, u32), Nm>,
}

impl Joined {
    /// The widest gap bridged in one contour.
    pub fn gap_of(&self, contour: &Contour) -> Nm {
        self.gaps.get(&(contour.start, contour.line)).copied().unwrap_or(0)
    }
}

/// One stroke, with the nodes at its ends.
#[derive(Clone, Debug)]
struct Stroke {
    from: Point,
    edge: Edge,
    line: u32,
    nodes: (usize, usize),
}

impl Stroke {
    fn new(from: Point, edge: Edge, line: u32) -> Self {
        Self { from, edge, line, nodes: (0, 0) }
    }

    fn reversed(&self) -> Self {
        let edge = match self.edge {
            Edge::Line { .. } => Edge::Line { to: self.from },
            Edge::Arc { centre, counter_clockwise, .. } => {
                Edge::Arc { to: self.from, centre, counter_clockwise: !counter_clockwise }
            }
        };
        Self { from: self.edge.to(), edge, line: self.line, nodes: (self.nodes.1, self.nodes.0) }
    }

    fn middle(&self) -> Point {
        let points = crate::geometry::flatten::path(self.from, std::slice::from_ref(&self.edge));
        let (a, b) = ((points.len() - 1) / 2, points.len() / 2);
        Point::new((points[a].x + points[b].x) / 2, (points[a].y + points[b].y) / 2)
    }

    /// Whether the stroke goes most of the way round a circle.
    fn goes_round(&self) -> bool {
        match self.edge {
            Edge::Line { .. } => false,
            Edge::Arc { to, centre, counter_clockwise } => {
                crate::geometry::flatten::sweep(self.from, to, centre, counter_clockwise).abs() > std::f64::consts::PI
            }
        }
    }
}

/// Joins the draws, arcs and filled areas of an image.
pub(super) fn of_image(image: &Image) -> Joined {
    let mut strokes = Vec::new();
    let mut done = Vec::new();
    for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
        collect(object, &mut strokes, &mut done);
    }
    join(strokes, done)
}

/// Joins only the strokes that meet others end to end, for layers where an outline stands among other things.
pub(super) fn among_others(image: &Image) -> Joined {
    let mut strokes = Vec::new();
    for object in
        image.objects.iter().filter(|o| o.polarity == Polarity::Dark && !matches!(o.shape, Shape::Region { .. }))
    {
        collect(object, &mut strokes, &mut Vec::new());
    }
    let mut joined = join(strokes, Vec::new());
    joined.open.clear();
    joined
}

fn collect(object: &Object, strokes: &mut Vec<Stroke>, done: &mut Vec<Contour>) {
    match &object.shape {
        Shape::Draw { from, to, .. } if from != to => {
            strokes.push(Stroke::new(*from, Edge::Line { to: *to }, object.line))
        }
        Shape::Arc { arc, .. } => {
            let edge = Edge::Arc { to: arc.to, centre: arc.centre, counter_clockwise: arc.counter_clockwise };
            strokes.push(Stroke::new(arc.from, edge, object.line));
        }
        Shape::Region { contours, offset } => done.extend(contours.iter().map(|c| moved(c, *offset))),
        _ => {}
    }
}

fn moved(contour: &Contour, by: Point) -> Contour {
    let at = |p: Point| Point::new(p.x + by.x, p.y + by.y);
    let edge = |e: &Edge| match *e {
        Edge::Line { to } => Edge::Line { to: at(to) },
        Edge::Arc { to, centre, counter_clockwise } => Edge::Arc { to: at(to), centre: at(centre), counter_clockwise },
    };
    Contour { start: at(contour.start), edges: contour.edges.iter().map(edge).collect(), line: contour.line }
}

fn join(strokes: Vec<Stroke>, mut done: Vec<Contour>) -> Joined {
    let mut joined = Joined::default();
    let (circles, strokes): (Vec<_>, Vec<_>) = strokes.into_iter().partition(|s| s.from == s.edge.to());
    let mut strokes = strokes;
    done.extend(circles.into_iter().map(|s| Contour { start: s.from, edges: vec![s.edge], line: s.line }));
    let mut nodes = Nodes::of(strokes.iter().flat_map(|s| [s.from, s.edge.to()]).collect(), SNAP);
    let name = |strokes: &mut Vec<Stroke>, nodes: &mut Nodes| {
        for (i, stroke) in strokes.iter_mut().enumerate() {
            stroke.nodes = (nodes.of_point(2 * i), nodes.of_point(2 * i + 1));
        }
    };
    name(&mut strokes, &mut nodes);
    let twins = twins(&strokes);
    let loose = loose_points(&strokes, &twins);
    nodes.bridge(&loose, BRIDGE);
    name(&mut strokes, &mut nodes);
    let strokes: Vec<Stroke> = strokes.into_iter().zip(twins).filter(|(_, twin)| !twin).map(|(s, _)| s).collect();
    let (core, spurs) = prune(strokes);
    for chain in chains(&core) {
        close(chain, &mut done, &mut joined);
    }
    for chain in chains(&spurs) {
        open(&chain, &mut joined);
    }
    joined.contours = tidy::all(done);
    joined.bridged = joined.contours.iter().map(|c| joined.gap_of(c)).max().unwrap_or(0);
    joined
}

/// Strokes to leave out: those within one node, and those drawn a second time between the same nodes.
fn twins(strokes: &[Stroke]) -> Vec<bool> {
    let mut met: BTreeMap<(usize, usize), Vec<Point>> = BTreeMap::new();
    let out = |stroke: &Stroke| {
        let (a, b) = stroke.nodes;
        if a == b {
            return !stroke.goes_round();
        }
        let middle = stroke.middle();
        let others = met.entry((a.min(b), a.max(b))).or_default();
        let twin = others.iter().take(16).any(|o| o.distance(middle) <= 2.0 * SNAP as f64);
        others.push(middle);
        twin
    };
    strokes.iter().map(out).collect()
}

/// Ends of strokes at which nothing else meets, by index of end.
fn loose_points(strokes: &[Stroke], left_out: &[bool]) -> Vec<usize> {
    let mut degree: BTreeMap<usize, u32> = BTreeMap::new();
    let kept = || strokes.iter().enumerate().filter(|(i, _)| !left_out[*i]);
    for (_, stroke) in kept() {
        *degree.entry(stroke.nodes.0).or_default() += 1;
        *degree.entry(stroke.nodes.1).or_default() += 1;
    }
    let ends = kept().flat_map(|(i, s)| [(2 * i, s.nodes.0), (2 * i + 1, s.nodes.1)]);
    ends.filter(|(_, node)| degree.get(node) == Some(&1)).map(|(end, _)| end).collect()
}

/// Parts strokes that can lie on a closed way from those that lead to a loose end.
fn prune(strokes: Vec<Stroke>) -> (Vec<Stroke>, Vec<Stroke>) {
    let at = by_node(&strokes);
    let mut degree: BTreeMap<usize, usize> = BTreeMap::new();
    for stroke in &strokes {
        *degree.entry(stroke.nodes.0).or_default() += 1;
        *degree.entry(stroke.nodes.1).or_default() += 1;
    }
    let mut queue: Vec<usize> = degree.iter().filter(|(_, d)| **d == 1).map(|(node, _)| *node).collect();
    let mut out = vec![false; strokes.len()];
    while let Some(node) = queue.pop() {
        let here = at.get(&node).into_iter().flatten().copied();
        let Some(i) = here.into_iter().find(|&i| !out[i]).filter(|_| degree.get(&node) == Some(&1)) else { continue };
        out[i] = true;
        for end in [strokes[i].nodes.0, strokes[i].nodes.1] {
            let Some(d) = degree.get_mut(&end) else { continue };
            *d = d.saturating_sub(1);
            if *d == 1 {
                queue.push(end);
            }
        }
    }
    let (spurs, core): (Vec<_>, Vec<_>) = strokes.into_iter().zip(out).partition(|(_, out)| *out);
    (core.into_iter().map(|s| s.0).collect(), spurs.into_iter().map(|s| s.0).collect())
}

fn by_node(strokes: &[Stroke]) -> BTreeMap<usize, Vec<usize>> {
    let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, stroke) in strokes.iter().enumerate() {
        at.entry(stroke.nodes.0).or_default().push(i);
        if stroke.nodes.1 != stroke.nodes.0 {
            at.entry(stroke.nodes.1).or_default().push(i);
        }
    }
    at
}

/// Runs of strokes that follow each other; a point where more than two meet is passed as straight as possible.
fn chains(strokes: &[Stroke]) -> Vec<Vec<Stroke>> {
    let mut way = Way { strokes, at: by_node(strokes), used: vec![false; strokes.len()] };
    // The first stroke of a node is looked at first: lists are used up from their ends.
    way.at.values_mut().for_each(|list| list.reverse());
    let alone = |node: usize| way.at.get(&node).is_some_and(|s| s.len() == 1);
    // Chains with loose ends first, so that they are walked from end to end.
    let (mut first, mut rest) = (Vec::new(), Vec::new());
    for (i, stroke) in strokes.iter().enumerate() {
        match (alone(stroke.nodes.0), alone(stroke.nodes.1)) {
            (true, _) => first.push((i, false)),
            (false, true) => first.push((i, true)),
            (false, false) => rest.push((i, false)),
        }
    }
    first.extend(rest);
    first.into_iter().filter_map(|(start, backwards)| way.walk(start, backwards)).collect()
}

/// Strokes on the way to be chains.
struct Way<'a> {
    strokes: &'a [Stroke],
    at: BTreeMap<usize, Vec<usize>>,
    used: Vec<bool>,
}

impl Way<'_> {
    fn walk(&mut self, start: usize, backwards: bool) -> Option<Vec<Stroke>> {
        if std::mem::replace(&mut self.used[start], true) {
            return None;
        }
        let first = &self.strokes[start];
        let mut last = if backwards { first.reversed() } else { first.clone() };
        let begin = last.nodes.0;
        let mut chain = Vec::new();
        loop {
            let next = if last.nodes.1 == begin { None } else { self.next(&last) };
            chain.push(last);
            last = match next {
                Some(stroke) => stroke,
                None => return Some(chain),
            };
        }
    }

    /// The straightest way on, among the first few at the node.
    fn next(&mut self, last: &Stroke) -> Option<Stroke> {
        const CROWD: usize = 32;
        let here = last.nodes.1;
        let list = self.at.get_mut(&here)?;
        while list.last().is_some_and(|&i| self.used[i]) {
            list.pop();
        }
        let free = list.iter().rev().take(CROWD).copied().filter(|&i| !self.used[i]);
        let turned = free.map(|i| {
            (i, if self.strokes[i].nodes.0 == here { self.strokes[i].clone() } else { self.strokes[i].reversed() })
        });
        let (_, i, stroke) =
            turned.map(|(i, s)| (turn(last, &s), i, s)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
        self.used[i] = true;
        Some(stroke)
    }
}

/// How sharply the way turns from one stroke into the next, 0 for straight on.
fn turn(a: &Stroke, b: &Stroke) -> f64 {
    let (a, b) = (leaving(a), entering(b));
    let angle = a.1.atan2(a.0) - b.1.atan2(b.0);
    let wrapped = angle.rem_euclid(std::f64::consts::TAU);
    wrapped.min(std::f64::consts::TAU - wrapped)
}

fn entering(s: &Stroke) -> (f64, f64) {
    direction(s.from, s.from, s.edge)
}

fn leaving(s: &Stroke) -> (f64, f64) {
    direction(s.edge.to(), s.from, s.edge)
}

/// Direction of travel at a point of a stroke.
fn direction(at: Point, from: Point, edge: Edge) -> (f64, f64) {
    match edge {
        Edge::Line { to } => ((to.x - from.x) as f64, (to.y - from.y) as f64),
        Edge::Arc { centre, counter_clockwise, .. } => {
            let (x, y) = ((at.x - centre.x) as f64, (at.y - centre.y) as f64);
            if counter_clockwise { (-y, x) } else { (y, -x) }
        }
    }
}

fn close(chain: Vec<Stroke>, done: &mut Vec<Contour>, joined: &mut Joined) {
    let (Some(first), Some(last)) = (chain.first(), chain.last()) else { return };
    if first.nodes.0 != last.nodes.1 {
        open(&chain, joined);
        return;
    }
    let (start, line) = (first.from, first.line);
    let mut edges = Vec::with_capacity(chain.len());
    let mut widest = 0;
    let starts = chain.iter().skip(1).map(|s| s.from).chain([start]);
    for (stroke, next) in chain.iter().zip(starts) {
        edges.push(stroke.edge);
        let end = stroke.edge.to();
        if end != next {
            widest = widest.max(end.distance(next).ceil() as Nm);
            edges.push(Edge::Line { to: next });
        }
    }
    if widest > 0 {
        joined.gaps.insert((start, line), widest);
    }
    done.push(Contour { start, edges, line });
}

fn open(chain: &[Stroke], joined: &mut Joined) {
    if let (Some(first), Some(last)) = (chain.first(), chain.last()) {
        joined.open.push((first.from, last.edge.to()));
    }
}

/// Twice the signed area of a contour, arcs flattened.
pub(super) fn doubled_area(contour: &Contour) -> i128 {
    crate::geometry::engine::doubled_area(&crate::geometry::flatten::contour(contour))
}
