//! What stands at the board's edge on purpose, so that copper there is no fault.

use landgap_parser::{Nm, Point};

use super::context::Context;
use crate::board::{Feature, FeatureKind, LayerRef, OutlineState};
use crate::fact::Fact;
use crate::geometry::distance::{Segment, float, point_segment};
use crate::geometry::flatten;

/// Half of the widest pen an outline is usually drawn with, where the pen is not known.
const LINE: Nm = 150_000;
/// Strokes and outline were rounded apart.
const ROUNDING: Nm = 10_000;
/// Copper this near a run or a row belongs to it.
const BESIDE: Nm = 1_000_000;

/// Runs of copper over the edge that may be meant to be plated. One that goes all round the board is more likely a
/// habit of drawing areas past the line, unless the data say that edges are plated.
pub(super) fn plated_runs<'a>(context: &'a Context<'_>) -> impl Iterator<Item = &'a Feature> {
    let runs = context.board.features.iter().filter(|f| f.kind == FeatureKind::EdgePlating);
    runs.filter(|f| f.settled || !goes_all_round(context, f))
}

fn goes_all_round(context: &Context<'_>, run: &Feature) -> bool {
    let length = run.size.unwrap_or(0) as f64;
    let contours = context.board.outline.contours.iter().map(flatten::contour);
    let round = |c: Vec<Point>| -> f64 { c.iter().zip(c.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum() };
    // Runs are measured on the contour itself, so that only one of its own length can be all of it.
    contours.map(round).any(|whole| length >= 0.9 * whole && length <= 1.01 * whole)
}

/// Whether a place lies on such a run.
pub(super) fn is_on_run(context: &Context<'_>, at: Point) -> bool {
    let near = |a: Point, b: Point| point_segment(float(at), Segment { a, b }).length <= BESIDE as f64;
    plated_runs(context).any(|f| f.parts.iter().any(|p| near(p.from, p.to)))
}

/// Whether copper is the outline itself: a stroke of a layer into which it is drawn, or of the one it was taken from.
/// Both are asked about as such.
pub(super) fn is_outline(context: &Context<'_>, fact: &Fact) -> bool {
    let board = context.board;
    let drawn = board.features.iter().filter(|f| f.kind == FeatureKind::OutlineInCopper && f.layer == fact.layer);
    let pen = drawn.filter_map(|f| f.size).max();
    let own = board.outline.state == OutlineState::Assumed
        && board
            .copper
            .iter()
            .any(|c| fact.layer == Some(LayerRef::Copper(c.number)) && board.outline.files.contains(&c.file));
    let reach = pen.map(|pen| pen / 2 + ROUNDING).or_else(|| own.then_some(LINE));
    reach.is_some_and(|reach| fact.value.abs() <= reach)
}

/// Whether copper belongs to a row of connector fingers that all end as near the edge: at least one more does.
/// Copper that alone reaches past the ends of its row is no finger.
pub(super) fn is_at_fingers(context: &Context<'_>, fact: &Fact) -> bool {
    let rows = context.board.features.iter().filter(|f| f.kind == FeatureKind::EdgeFingers && f.layer == fact.layer);
    let reach = |f: &Feature| (f.size.unwrap_or(0) + BESIDE) as f64;
    rows.filter_map(|f| Some((f, f.between?))).any(|(f, (a, b))| {
        let in_row = |at: Point| point_segment(float(at), Segment { a, b }).length <= reach(f);
        let alike = |other: &&Fact| {
            other.layer == fact.layer && (other.value - fact.value).abs() <= ROUNDING && in_row(other.from)
        };
        in_row(fact.from) && context.facts.of(fact.kind).filter(alike).count() >= 2
    })
}
