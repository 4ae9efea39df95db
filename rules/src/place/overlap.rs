//! Legends against the mask openings of their side: print keeps off the openings, and where a small
//! shift takes away nearly all that lies in them, the legend is out of place.

use std::sync::Arc;

use landgap_parser::{Nm, Point};

use super::extent::{self, mm};
use super::raster::{Grid, Raster};
use crate::board::{Board, Doubt, SideLayer, Source};
use crate::measure::in_parallel;

/// Cells of a legend looked at.
const SAMPLE: usize = 20_000;
/// Shifts are tried up to this far, in steps of [`STEP`].
const REACH: Nm = 1_500_000;
const STEP: Nm = 100_000;
/// What makes a legend one that is out of place: the share of its print in openings from which on it is
/// looked at, what a shift leaves of that at most, and how far apart shifts may lie that are nearly as good.
/// Found on real sets of boards; no source.
const OFF: [(f64, f64, f64); 3] = [(0.01, 0.3, 500_000.0), (0.05, 0.45, 300_000.0), (0.05, 0.15, f64::MAX)];
/// Fewer strokes of print, or openings, prove nothing.
const FEW_STROKES: usize = 40;
const FEW_OPENINGS: usize = 12;
/// A shift shorter than this is rounding and print tolerance.
const NEAR: f64 = 200_000.0;

/// The print of one legend in the openings, as sent and at the best shift.
#[derive(Clone, Copy, Debug)]
struct Overlap {
    as_sent: f64,
    best: f64,
    shift: Point,
    /// Greatest distance between two shifts that are nearly as good as the best.
    spread: f64,
}

/// Legends that lie clearly better at a small shift.
pub(super) fn doubts(board: &Board) -> Vec<Doubt> {
    let found = in_parallel(&board.legends, |legend| overlap(board, legend));
    let odd = board.legends.iter().zip(found).filter_map(|(l, o)| Some((l, o?)));
    odd.filter(|(_, o)| is_off(o)).map(|(legend, o)| doubt(board, legend, &o)).collect()
}

fn is_off(o: &Overlap) -> bool {
    let far = o.shift.distance(Point::new(0, 0)) >= NEAR;
    far && OFF
        .iter()
        .any(|(much, left, spread)| o.as_sent >= *much && o.best <= left * o.as_sent && o.spread <= *spread)
}

fn overlap(board: &Board, legend: &SideLayer) -> Option<Overlap> {
    let mask = board.masks.iter().find(|m| m.side == legend.side)?;
    let image = |file: u32| board.images[file as usize].as_ref();
    let many = |file: u32, least: usize| image(file).is_some_and(|i| i.objects.len() >= least);
    if !many(legend.file, FEW_STROKES) || !many(mask.file, FEW_OPENINGS) {
        return None;
    }
    let box_ = extent::of_image(image(mask.file)?)?.grown(2 * REACH);
    let grid = Arc::new(Grid::over(box_));
    let (print, openings) = (Raster::of(image(legend.file)?, &grid), Raster::of(image(mask.file)?, &grid));
    let cells: Vec<(usize, usize)> = (0..grid.height)
        .flat_map(|y| (0..grid.width).map(move |x| (x, y)))
        .filter(|(x, y)| print.get(*x, *y))
        .collect();
    let every = cells.len().div_ceil(SAMPLE).max(1);
    let cells: Vec<(i64, i64)> = cells.into_iter().step_by(every).map(|(x, y)| (x as i64, y as i64)).collect();
    if cells.is_empty() {
        return None;
    }
    let step = (STEP / grid.cell).max(1);
    let most = REACH / (step * grid.cell);
    let share = |i: i64, j: i64| {
        let at = |(x, y): &(i64, i64)| Some((usize::try_from(x + i * step).ok()?, usize::try_from(y + j * step).ok()?));
        let inside = |p: &(usize, usize)| p.0 < grid.width && p.1 < grid.height && openings.get(p.0, p.1);
        cells.iter().filter_map(at).filter(inside).count() as f64 / cells.len() as f64
    };
    let mut all: Vec<(f64, i64, i64)> =
        (-most..=most).flat_map(|i| (-most..=most).map(move |j| (i, j))).map(|(i, j)| (share(i, j), i, j)).collect();
    let as_sent = all.iter().find(|s| (s.1, s.2) == (0, 0))?.0;
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1.abs() + a.2.abs()).cmp(&(b.1.abs() + b.2.abs()))));
    let (best, i, j) = all[0];
    let good: Vec<&(f64, i64, i64)> = all.iter().filter(|s| s.0 <= best + 0.15 * (as_sent - best)).collect();
    let far = good.iter().map(|s| ((s.1 - i) as f64).hypot((s.2 - j) as f64)).fold(0.0, f64::max);
    let length = step * grid.cell;
    Some(Overlap { as_sent, best, shift: Point::new(i * length, j * length), spread: far * length as f64 })
}

fn doubt(board: &Board, legend: &SideLayer, o: &Overlap) -> Doubt {
    let path = &board.files[legend.file as usize].path;
    let about = format!("about {} mm in x and {} mm in y", mm(o.shift.x), mm(o.shift.y));
    Doubt {
        rule: "misplaced-layer",
        seen: format!("{path} prints into the mask openings of its side, and would not if it were moved by {about}"),
        reasons: vec![
            format!("as sent, {:.1} % of the print lies in openings", o.as_sent * 100.0),
            format!("moved by {about}, {:.1} % does", o.best * 100.0),
        ],
        sources: vec![Source { file: legend.file, line: 0 }],
        places: Vec::new(),
        readings: vec![
            format!("{path} is to be moved by {about}"),
            format!("{path} is right as it is"),
            format!("{path} is sent again"),
        ],
    }
}
