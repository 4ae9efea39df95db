//! The layers a netlist gives its conductors (IPC-D-356A, records 378): the copper they run in.

use std::sync::Arc;

use landgap_parser::netlist::Netlist;
use landgap_parser::{Nm, Point};

use super::Testimony;
use crate::board::Board;
use crate::measure::in_parallel;
use crate::place::extent::{self, Extent};
use crate::place::lands::{Lands, best_shift, sample};
use crate::place::raster::{Grid, Raster};
use crate::place::register;

/// Fewest conductors of one layer that say anything.
const FEW: usize = 8;
/// Conductors looked at for one layer.
const SAMPLE: usize = 1_000;
/// Share of a layer's conductors that must run in the copper of its file.
const RUNS: f64 = 0.9;
/// How much better that must be than for the conductors of any other layer.
const LEAD: f64 = 0.2;

/// The place of each copper file by the conductors that run in it.
pub(super) fn hear(board: &Board) -> Option<Testimony> {
    let (file, netlist) = board.netlists.iter().find(|(_, n)| n.conductors.iter().any(|c| c.layer.is_some()))?;
    let middles = middles(netlist, board.copper.len() as u32, origin(board, netlist)?);
    let all: Vec<Point> = middles.iter().flat_map(|m| m.1.iter().copied()).collect();
    let grid = Arc::new(Grid::over(within(board, extent::of_points(all)?)?.grown(1_000_000)));
    let shares = in_parallel(&board.copper, |layer| {
        let raster = Raster::of(board.images[layer.file as usize].as_ref()?, &grid);
        let dark = |points: &[Point]| points.iter().filter(|p| raster.dark_at(**p)).count() as f64;
        Some(middles.iter().map(|(_, points)| dark(points) / points.len() as f64).collect::<Vec<f64>>())
    });
    let list = &board.files[*file as usize].path;
    let mut places: Vec<(u32, u32, String)> = Vec::new();
    for (layer, shares) in board.copper.iter().zip(shares) {
        let mut by_share: Vec<(f64, usize)> = shares?.into_iter().zip(0..).collect();
        by_share.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        // A plane is dark under the conductors of every layer, and says nothing.
        let Some(&(best, own)) = by_share.first().filter(|b| b.0 >= RUNS) else { continue };
        if by_share.get(1).is_some_and(|next| best - next.0 < LEAD) {
            continue;
        }
        let (number, points) = &middles[own];
        let path = &board.files[layer.file as usize].path;
        let why = format!(
            "{:.0} % of {} conductors that {list} gives to layer {number} run in the copper of {path}",
            best * 100.0,
            points.len()
        );
        places.push((layer.file, *number, why));
    }
    let mut numbers: Vec<u32> = places.iter().map(|p| p.1).collect();
    numbers.sort_unstable();
    numbers.dedup();
    (places.len() >= 2 && numbers.len() == places.len())
        .then(|| Testimony { witness: format!("the conductors of {list}"), places })
}

/// Where the netlist's origin lies; `None` where its points do not fit the holes by a shift.
fn origin(board: &Board, netlist: &Netlist) -> Option<Point> {
    let holes = Lands::of_points(board.holes.iter().map(|h| register::land_of(&h.shape)).collect());
    let points: Vec<Point> = netlist.points.iter().filter_map(|p| p.holes.first()).map(|h| h.at).collect();
    let points = sample(&points, SAMPLE);
    // A netlist in steps of 0.0001 inch misses an axis by up to 1.3 µm, far less than what counts as landing.
    let fits = |by: Point| holes.share(&moved(&points, by)) >= 0.6;
    let nowhere = Point::new(0, 0);
    if fits(nowhere) { Some(nowhere) } else { best_shift(&points, &holes).filter(|by| fits(*by)) }
}

fn moved(points: &[Point], by: Point) -> Vec<Point> {
    points.iter().map(|p| Point::new(p.x + by.x, p.y + by.y)).collect()
}

/// Middles of the conductors of each layer, sampled.
fn middles(netlist: &Netlist, layers: u32, by: Point) -> Vec<(u32, Vec<Point>)> {
    let mut out = Vec::new();
    for number in 1..=layers {
        let own = netlist.conductors.iter().filter(|c| c.layer == Some(number)).flat_map(|c| &c.paths);
        let half = |a: Nm, b: Nm| a + (b - a) / 2;
        let middle = |pair: &[Point]| Point::new(half(pair[0].x, pair[1].x), half(pair[0].y, pair[1].y));
        let points: Vec<Point> = own.flat_map(|path| path.windows(2).map(middle)).collect();
        if points.len() >= FEW {
            out.push((number, moved(&sample(&points, SAMPLE), by)));
        }
    }
    out
}

/// The box of the conductors, kept to that of the copper.
fn within(board: &Board, box_: Extent) -> Option<Extent> {
    let copper = crate::place::mirror::copper_box(board)?;
    let low = Point::new(box_.low.x.max(copper.low.x), box_.low.y.max(copper.low.y));
    let high = Point::new(box_.high.x.min(copper.high.x), box_.high.y.min(copper.high.y));
    (low.x < high.x && low.y < high.y).then_some(Extent { low, high })
}
