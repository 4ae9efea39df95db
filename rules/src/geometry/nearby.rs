//! The nearest foreign boundary of every piece of boundary, a run of pieces at a time.

use landgap_parser::{Nm, Point};

use super::Bounds;
use super::distance::Span;
use super::edges::{EdgeIndex, Run, apart, boxed, limit};

/// A piece of boundary, the nearest foreign one, and the way between.
pub type Near = (usize, usize, Span);

impl EdgeIndex {
    /// For every edge the nearest edge of another group within `reach`, if there is one; in order of edge.
    /// `group` tells the group of an island.
    #[must_use]
    pub fn nearest_foreign(&self, reach: Nm, group: impl Fn(u32) -> u32 + Sync) -> Vec<Near> {
        let parts: Vec<&[(Bounds, Run)]> = self.runs().chunks(PART).collect();
        let of_part = |part: &&[(Bounds, Run)]| {
            let mut search = Search { index: self, group: &group, around: Vec::new(), out: Vec::new() };
            part.iter().for_each(|(bounds, run)| search.run(bounds, *run, reach));
            search.out
        };
        crate::measure::in_parallel(&parts, of_part).into_iter().flatten().collect()
    }
}

/// Runs searched by one thread in one go.
const PART: usize = 2_048;

/// Looks for the neighbours of one run after another.
struct Search<'a, G> {
    index: &'a EdgeIndex,
    group: &'a G,
    /// Foreign runs near the present one, nearest box first.
    around: Vec<(f64, Bounds, Run)>,
    out: Vec<Near>,
}

impl<G: Fn(u32) -> u32> Search<'_, G> {
    fn run(&mut self, bounds: &Bounds, run: Run, reach: Nm) {
        let mut found: Vec<Option<Near>> = vec![None; run.edges().len()];
        let mut radius = (reach / 8).max(1);
        loop {
            self.gather(bounds, run, radius);
            for (slot, i) in found.iter_mut().zip(run.edges()).filter(|(slot, _)| slot.is_none()) {
                *slot = self.nearest(i, radius);
            }
            if radius >= reach || found.iter().all(Option::is_some) {
                break;
            }
            radius = (radius * 3).min(reach);
        }
        self.out.extend(found.into_iter().flatten());
    }

    fn gather(&mut self, bounds: &Bounds, run: Run, radius: Nm) {
        let own = (self.group)(run.island);
        let (around, group, far) = (&mut self.around, self.group, radius as f64 * radius as f64);
        around.clear();
        self.index.runs_near(bounds.grown(radius), |b, other| {
            let square = apart(bounds, b);
            if square <= far && group(other.island) != own {
                around.push((square, *b, other));
            }
        });
        around.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    }

    fn nearest(&self, i: usize, radius: Nm) -> Option<Near> {
        let segment = self.index.edges()[i].segment;
        let (path, own): ([Point; 2], _) = ([segment.a, segment.b], boxed(segment));
        let mut best: Option<(usize, Span)> = None;
        for (square, bounds, run) in &self.around {
            let most = limit(radius, best);
            if *square > most {
                break;
            }
            if apart(&own, bounds) <= most {
                self.index.nearest_of(&path, &own, *run, radius, &mut best);
            }
        }
        best.map(|(j, span)| (i, j, span))
    }
}
