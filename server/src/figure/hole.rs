//! Holes, slots and routed paths on paper.

use std::fmt::Write;

use landgap_parser::drill::HitShape;
use landgap_parser::{Edge, Point};
use landgap_rules::board::Hole;
use landgap_rules::geometry::Bounds;

use super::sheet::{Fill, Sheet, number};
use super::view::{Px, View};

/// Box round a hole at its finished size.
#[must_use]
pub fn bounds(hole: &Hole) -> Bounds {
    let mut all = Bounds::EMPTY;
    match &hole.shape {
        HitShape::Hole { at } => all.add(*at),
        HitShape::Slot { from, to } => [*from, *to].into_iter().for_each(|p| all.add(p)),
        HitShape::Route { start, edges } => {
            all.add(*start);
            edges.iter().for_each(|e| all.add(e.to()));
        }
    }
    all.grown(hole.finished.unwrap_or(0) / 2 + 1)
}

/// A hole in full: finished size as a full line, tool size dashed, centre cross.
pub fn detailed(sheet: &mut Sheet, view: &View, hole: &Hole, tool: Option<i64>) {
    let Some(finished) = hole.finished else {
        cross(sheet, view.px(hole.at()), 6.0);
        return;
    };
    let HitShape::Hole { at } = hole.shape else {
        sheet.slot(&path(view, &hole.shape), view.length(finished));
        return;
    };
    let (centre, radius) = (view.px(at), view.length(finished) / 2.0);
    sheet.circle(centre, radius, Fill::Paper, 1.2, "");
    if let Some(tool) = tool.filter(|t| *t != finished) {
        sheet.circle(centre, view.length(tool) / 2.0, Fill::Open, 0.9, "5 3");
    }
    cross(sheet, centre, radius + 8.0);
}

/// A hole as a plain white spot with a thin edge.
pub fn plain(sheet: &mut Sheet, view: &View, hole: &Hole) {
    let width = view.length(hole.finished.unwrap_or(0));
    match hole.shape {
        HitShape::Hole { at } => sheet.circle(view.px(at), width / 2.0, Fill::Paper, 0.5, ""),
        _ => sheet.slot(&path(view, &hole.shape), width.max(0.5)),
    }
}

fn cross(sheet: &mut Sheet, (x, y): Px, reach: f64) {
    sheet.line((x - reach, y), (x + reach, y), 0.6, "9 2 2 2");
    sheet.line((x, y - reach), (x, y + reach), 0.6, "9 2 2 2");
}

/// The axis of a slot or routed path as an SVG path.
fn path(view: &View, shape: &HitShape) -> String {
    let mut d = String::new();
    let step = |d: &mut String, word: char, p: Point| {
        let (x, y) = view.px(p);
        let _ = write!(d, "{word}{} {}", number(x), number(y));
    };
    match shape {
        HitShape::Hole { at } => step(&mut d, 'M', *at),
        HitShape::Slot { from, to } => {
            step(&mut d, 'M', *from);
            step(&mut d, 'L', *to);
        }
        HitShape::Route { start, edges } => {
            step(&mut d, 'M', *start);
            let mut from = *start;
            for edge in edges {
                match *edge {
                    Edge::Line { to } => step(&mut d, 'L', to),
                    Edge::Arc { to, centre, counter_clockwise } => {
                        arc(&mut d, view, from, to, centre, counter_clockwise)
                    }
                }
                from = edge.to();
            }
        }
    }
    d
}

fn arc(d: &mut String, view: &View, from: Point, to: Point, centre: Point, counter_clockwise: bool) {
    let radius = number(view.length(from.distance(centre).round() as i64));
    let sweep = u8::from(counter_clockwise == view.mirrored);
    let mut part = |to: Point, large: bool| {
        let (x, y) = view.px(to);
        let _ = write!(d, "A{radius} {radius} 0 {} {sweep} {} {}", u8::from(large), number(x), number(y));
    };
    if from == to {
        part(Point::new(2 * centre.x - from.x, 2 * centre.y - from.y), false);
        part(to, false);
        return;
    }
    let (ax, ay) = (i128::from(from.x - centre.x), i128::from(from.y - centre.y));
    let (bx, by) = (i128::from(to.x - centre.x), i128::from(to.y - centre.y));
    let left_turn = ax * by - ay * bx > 0;
    part(to, left_turn != counter_clockwise);
}
