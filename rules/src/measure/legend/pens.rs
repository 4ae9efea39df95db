//! Pens that draw legend. A pen that fills an area with strokes side by side makes no thin line.

use landgap_parser::{Nm, Point};

use super::Legend;
use super::ink::Ink;
use crate::board::Source;
use crate::fact::{Fact, FactKind};
use crate::geometry::Bounds;
use crate::geometry::boxes::Boxes;
use crate::geometry::distance::round;
use crate::measure::{Bench, Found, HORIZON};
use std::collections::BTreeMap;

/// Lines as near as this to the board's edge follow it.
const ALONG_EDGE: Nm = 300_000;

/// Where more pieces of ink than this lie at one place, it is painted.
const CROWD: usize = 256;

/// What a pen draws.
struct Drawn<'i> {
    first: &'i Ink,
    length: f64,
}

/// One fact a pen of one legend, for the lines it draws on the board.
pub(super) fn of(bench: &Bench<'_>, legend: &Legend) -> Found {
    let boxes = Boxes::new(&legend.ink.iter().map(|i| i.bounds).collect::<Vec<_>>());
    let mut pens: BTreeMap<Nm, Drawn<'_>> = BTreeMap::new();
    let mut looked_at = 0;
    for (number, ink) in legend.ink.iter().enumerate().filter(|(_, i)| i.straight && !i.area) {
        let pen = (ink.half * 2.0).round() as Nm;
        looked_at += 1;
        if pen > HORIZON || ink.length() < pen as f64 || !on_board(bench, ink) || fills(legend, &boxes, number) {
            continue;
        }
        let drawn = pens.entry(pen).or_insert(Drawn { first: ink, length: 0.0 });
        drawn.length += ink.length();
    }
    let facts = pens.into_iter().map(|(pen, drawn)| fact(legend, pen, &drawn)).collect();
    Found { facts, looked_at }
}

impl Ink {
    fn length(&self) -> f64 {
        self.pieces().map(|s| s.a.distance(s.b)).sum()
    }
}

fn middle(ink: &Ink) -> Point {
    let path = &ink.paths[0];
    Point::new(path[0].x.midpoint(path[1].x), path[0].y.midpoint(path[1].y))
}

/// Frames, titles and notes beside the board are not printed, nor is a line along its edge.
fn on_board(bench: &Bench<'_>, ink: &Ink) -> bool {
    let Some(edge) = bench.edge else { return true };
    let at = middle(ink);
    edge.holds(at) && edge.index.nearest(&ink.paths[0], ALONG_EDGE, |_, _| true).is_none()
}

/// The two points three quarters of a pen to either side of a stroke's middle.
fn beside(ink: &Ink) -> [(f64, f64); 2] {
    let (path, at) = (&ink.paths[0], middle(ink));
    let (dx, dy) = ((path[1].x - path[0].x) as f64, (path[1].y - path[0].y) as f64);
    let part = ink.half * 1.5 / dx.hypot(dy).max(1.0);
    [1.0, -1.0].map(|way| (at.x as f64 - dy * part * way, at.y as f64 + dx * part * way))
}

/// Whether other ink lies beside a stroke, so that both make one area.
fn fills(legend: &Legend, boxes: &Boxes, number: usize) -> bool {
    let ink = &legend.ink[number];
    beside(ink).into_iter().any(|p| {
        let at = round(p);
        let near = boxes.meeting(&Bounds { min: at, max: at });
        near.len() > CROWD || near.into_iter().any(|other| other != number && legend.ink[other].holds(p))
    })
}

fn fact(legend: &Legend, pen: Nm, drawn: &Drawn<'_>) -> Fact {
    let ends = beside(drawn.first);
    let at = middle(drawn.first);
    // Two thirds of the way from the middle to the points beside it lie the edges of the stroke.
    let edge =
        |p: (f64, f64)| round((at.x as f64 + (p.0 - at.x as f64) / 1.5, at.y as f64 + (p.1 - at.y as f64) / 1.5));
    Fact {
        kind: FactKind::LegendStroke,
        layer: Some(legend.layer),
        value: pen,
        uncertainty: 1,
        from: edge(ends[0]),
        to: edge(ends[1]),
        nets: Vec::new(),
        holes: Vec::new(),
        sources: vec![Source { file: legend.file, line: drawn.first.line }],
        length: Some(drawn.length.round() as Nm),
        run: None,
        same_net: false,
    }
}
