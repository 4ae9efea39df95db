//! Two data sets of one part: what changed, what became of each query, and what else was changed.
//!
//! The old set is laid over the new one by the shift that brings most of its holes and lands onto theirs.
//! Places are in the new data's coordinates.

mod holes;
mod layers;
mod nets;
mod queries;
mod shift;

use landgap_parser::{Nm, Point};

use crate::check::Measured;
use crate::geometry::Bounds;
use crate::geometry::distance::{Segment, point_segment};
use crate::query::Verdict;

pub use holes::{HoleChange, HoleChanged};
pub use layers::{LayerChange, Presence, Region};
pub use nets::{NetChange, NetChanged};
pub use queries::{Became, QueryChange};
pub use shift::Shift;

/// How far a place may lie from where it was and still be the same.
pub const SAME_PLACE: Nm = 50_000;

/// How far from a place that was asked about a change may lie and still belong to the question.
pub const ASKED: Nm = 500_000;

/// A piece that changed and is larger than this counts as not asked for.
pub const LARGEST_ASKED: Nm = 10_000_000;

/// One of the two sets, measured and judged.
#[derive(Clone, Copy, Debug)]
pub struct Set<'a> {
    /// The board.
    pub measured: &'a Measured,
    /// Its queries.
    pub verdict: &'a Verdict,
}

/// What comparing two sets comes to.
#[derive(Clone, Debug, Default)]
pub struct Comparison {
    /// How the old set was laid over the new one.
    pub shift: Shift,
    /// Layers that changed, or that only one of the sets has.
    pub layers: Vec<LayerChange>,
    /// Layers compared without a difference, by name.
    pub unchanged: Vec<String>,
    /// Holes that changed.
    pub holes: Vec<HoleChange>,
    /// Nets that were split or joined.
    pub nets: Vec<NetChange>,
    /// What became of each query.
    pub queries: Vec<QueryChange>,
}

impl Comparison {
    /// Number of changes that lie near nothing that was asked.
    #[must_use]
    pub fn unasked(&self) -> usize {
        let regions = self.layers.iter().map(|l| match l.presence {
            Presence::Both => l.regions.iter().filter(|r| !r.asked).count(),
            Presence::OnlyOld | Presence::OnlyNew => usize::from(!l.asked),
        });
        regions.sum::<usize>()
            + self.holes.iter().filter(|h| !h.asked).count()
            + self.nets.iter().filter(|n| !n.asked).count()
    }
}

/// Compares two sets.
#[must_use]
pub fn compare(old: Set<'_>, new: Set<'_>) -> Comparison {
    let shift = shift::find(old.measured, new.measured);
    let asked = Asked::of(old.verdict, shift.by);
    let (layers, unchanged) = layers::changes(old.measured, new.measured, shift.by, &asked);
    Comparison {
        layers,
        unchanged,
        holes: holes::changes(&old.measured.board.holes, &new.measured.board.holes, shift.by, &asked),
        nets: nets::changes(old.measured, new.measured, shift.by, &asked),
        queries: queries::changes(old.verdict, new.verdict, shift.by),
        shift,
    }
}

/// Where the old set was asked about, in the new set's coordinates.
struct Asked {
    places: Vec<Point>,
    /// Whether something was asked about the set's files as such.
    files: bool,
}

impl Asked {
    fn of(verdict: &Verdict, by: Point) -> Self {
        let places = verdict.queries.iter().flat_map(|q| &q.places).map(|p| moved(p.at, by)).collect();
        let about_files = |rule: &str| {
            rule.starts_with("missing-")
                || rule.starts_with("unclear-")
                || rule.starts_with("un")
                || rule == "rival-sets"
        };
        Self { places, files: verdict.queries.iter().any(|q| q.places.is_empty() && about_files(q.rule)) }
    }

    fn near(&self, spot: Point) -> bool {
        self.places.iter().any(|p| p.distance(spot) <= ASKED as f64)
    }

    /// Whether a piece that changed comes near a place. A large piece surely holds changes that were not asked for
    /// as well, so it never counts: what nobody asked for must not hide behind what somebody did.
    fn touches(&self, piece: &[Vec<Point>], bounds: &Bounds) -> bool {
        if bounds.width().max(bounds.height()) > LARGEST_ASKED {
            return false;
        }
        let reach = bounds.grown(ASKED);
        self.places.iter().filter(|p| reach.meets(&Bounds::of(&[**p]))).any(|p| {
            let edges = piece.iter().flat_map(|c| c.iter().zip(c.iter().cycle().skip(1)));
            let at = (p.x as f64, p.y as f64);
            edges.map(|(a, b)| point_segment(at, Segment { a: *a, b: *b }).length).any(|d| d <= ASKED as f64)
        })
    }
}

const fn moved(p: Point, by: Point) -> Point {
    Point::new(p.x + by.x, p.y + by.y)
}
