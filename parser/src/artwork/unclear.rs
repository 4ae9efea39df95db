//! What in a region can be read in two ways, and the area that hangs on it.

use super::codes;
use super::crossing::{self, Fault, How};
use super::notes::note;
use super::sides::Sides;
use super::state::Reader;
use super::winding::{self, Areas};
use crate::image::{Contour, Edge};
use crate::length::Nm;
use crate::limits::LimitReached;
use crate::point::Point;
use crate::remark::{Code, Place, TwoReadings};

/// A gap no longer than this share of the contour was meant to be closed; how is all that is unclear.
const SMALL_GAP: f64 = 0.1;

impl Reader<'_> {
    /// Notes a remark on a place that can be read in two ways.
    pub fn tell_two(
        &mut self,
        code: &'static Code,
        place: Place,
        readings: TwoReadings,
        texts: impl FnOnce() -> (String, String),
    ) {
        note(&mut self.remarks, code, place, texts);
        self.remarks.keep_readings(code, readings);
    }

    /// The first contour starts where the pen happened to be: at that point, or at the end of the first draw.
    pub fn tell_no_move(&mut self, start: Point, edges: &[Edge], place: Place) {
        let first = edges.first().map_or(start, Edge::to);
        let last = edges.last().map_or(start, Edge::to);
        let (area, thick) = triangle(start, first, last);
        self.tell_two(&codes::REGION_NO_MOVE, place, bare(start, place, area, thick), || {
            ("a region that begins with a draw".into(), "D02 to its first point".into())
        });
    }

    /// The contour does not end where it began.
    pub fn tell_gap(&mut self, start: Point, edges: &[Edge], steps: u64, place: Place) {
        let end = edges.last().map_or(start, Edge::to);
        let gap = end.distance(start);
        let text =
            || (format!("a contour whose ends are {:.3} µm apart", gap / 1000.0), "its last point on its first".into());
        if steps <= 1 {
            return note(&mut self.remarks, &codes::CONTOUR_GAP, place, text);
        }
        let mut at = start;
        let drawn: f64 = edges.iter().map(|e| std::mem::replace(&mut at, e.to()).distance(e.to())).sum();
        let corner = Point::new(start.x, end.y);
        let readings = if gap <= SMALL_GAP * drawn {
            let (area, thick) = triangle(start, corner, end);
            bare(end, place, area, thick.min(gap))
        } else {
            let mut closed = edges.to_vec();
            closed.push(Edge::Line { to: start });
            let filled = filled(&Contour { start, edges: closed, line: place.line });
            TwoReadings { areas_nm2: Some((filled as u64, 0)), ..bare(end, place, filled, gap) }
        };
        self.tell_two(&codes::CONTOUR_OPEN, place, readings, text);
    }

    /// The polarity was changed inside a region.
    pub fn tell_polarity(&mut self, contours: &[Contour], place: Place) {
        let area = contours.iter().map(filled).sum();
        let at = contours.first().map_or_else(Point::default, |c| c.start);
        self.tell_two(&codes::REGION_POLARITY, place, bare(at, place, area, area.sqrt()), || {
            ("a change of polarity inside a region".into(), "LP before G36".into())
        });
    }

    /// What is wrong with a closed contour.
    pub fn check_contour(&mut self, contour: &Contour, place: Place) {
        self.tell_circle(contour, place);
        let step = self.ready.map_or(1, |(_, scale)| scale.step());
        match crossing::find(contour, step, &mut self.contour_work) {
            Ok(None) => {}
            Ok(Some(fault)) => self.tell_fault(&fault, place),
            Err(crossing::TooMany) => {
                let allowed = self.limits.contour_pairs;
                let reached = allowed.saturating_add(1);
                self.over = Some(LimitReached { limit: "contour_pairs", allowed, reached, line: place.line });
            }
        }
    }

    fn tell_fault(&mut self, fault: &Fault, place: Place) {
        let (code, what) = match fault.how {
            How::Crosses => (&codes::CONTOUR_CROSSES, "that crosses itself"),
            How::Twice => (&codes::CONTOUR_TWICE, "that goes round an area twice"),
            How::Overlaps => (&codes::CONTOUR_OVERLAPS, "two of whose edges overlap in part"),
            How::Touches => (&codes::CONTOUR_TOUCHES, "that touches itself"),
        };
        let millimetres = |nm: Nm| nm as f64 / 1e6;
        let (x, y) = (millimetres(fault.at.x), millimetres(fault.at.y));
        let areas = fault.areas.map_or_else(String::new, |a| in_words(&a));
        let texts =
            || (format!("a contour {what} at ({x:.6}, {y:.6}) mm{areas}"), "edges that meet only at their ends".into());
        let Some(areas) = fault.areas else { return note(&mut self.remarks, code, place, texts) };
        let sure = areas.filled - areas.unclear;
        let readings = TwoReadings {
            areas_nm2: Some((areas.filled as u64, sure.max(0.0) as u64)),
            ..bare(fault.at, place, areas.unclear, areas.thick)
        };
        self.tell_two(code, place, readings, texts);
    }

    /// A full circle among other edges, not at the end of a cut-in, may also be a dot.
    fn tell_circle(&mut self, contour: &Contour, place: Place) {
        let mut before = contour.start;
        for (i, edge) in contour.edges.iter().enumerate() {
            let from = std::mem::replace(&mut before, edge.to());
            let Edge::Arc { to, centre, .. } = *edge else { continue };
            if to != from || contour.edges.len() == 1 || is_cut_in(contour, i) {
                continue;
            }
            let radius = centre.distance(to);
            let area = std::f64::consts::PI * radius * radius;
            self.tell_two(&codes::CONTOUR_CIRCLE, place, bare(to, place, area, 2.0 * radius), || {
                ("a full circle among other edges of a contour".into(), "a contour of its own".into())
            });
        }
    }
}

/// Whether the edges before and behind an edge run out and back along one line.
fn is_cut_in(contour: &Contour, index: usize) -> bool {
    let edges = &contour.edges;
    let before = index.checked_sub(1).map_or(edges.last(), |i| edges.get(i));
    let behind = edges.get(index.saturating_add(1)).or(edges.first());
    let start = match index.checked_sub(2) {
        Some(i) => edges.get(i).map(Edge::to),
        None if index == 1 => Some(contour.start),
        None => edges.iter().rev().nth(1).map(Edge::to),
    };
    matches!((before, behind), (Some(Edge::Line { .. }), Some(Edge::Line { to })) if Some(*to) == start)
}

fn in_words(areas: &Areas) -> String {
    let (filled, unclear) = (areas.filled / 1e12, areas.unclear / 1e12);
    if areas.unclear < 1.0 {
        return String::new();
    }
    format!("; of the {filled:.6} mm² it goes round, {unclear:.6} mm² are gone round twice or the wrong way")
}

/// Two readings that differ by an area (nm²) about so thick (nm).
pub fn bare(at: Point, place: Place, area: f64, thick: f64) -> TwoReadings {
    TwoReadings { at, line: place.line, differ_nm2: area.round() as u64, thick: thick.round() as Nm, areas_nm2: None }
}

/// Area of a triangle, and its height over its longest side.
fn triangle(a: Point, b: Point, c: Point) -> (f64, f64) {
    let (u, v) = (b.minus(a), c.minus(a));
    let twice = (u.x as f64 * v.y as f64 - u.y as f64 * v.x as f64).abs();
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    (twice / 2.0, twice / longest.max(1.0))
}

/// The area a contour goes round, where it does not meet itself.
fn filled(contour: &Contour) -> f64 {
    let mut rays = u64::MAX;
    Sides::of(contour).and_then(|sides| winding::areas(&sides, Vec::new(), &mut rays)).map_or(0.0, |a| a.filled)
}
