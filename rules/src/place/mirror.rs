//! Layers that are mirrored, turned or shifted against the holes or against the layers they belong to.

use landgap_parser::{Image, Nm, Point};

use super::extent::{self, Extent};
use super::glyphs;
use super::lands::Lands;
use super::raster::{Grid, Raster};
use super::register::{self, Fit, Ground, Way};
use crate::board::{Board, Doubt, HolePlating, Registration, Role, Side, Source};
use crate::measure::in_parallel;

/// How clearly text must read the wrong way round before a legend is asked about.
const WRONG_WAY: f64 = 0.12;
/// Fewest characters that count for it.
const CHARACTERS: usize = 10;
/// Share of lands or holes that must lie within the outline's box.
const INSIDE: f64 = 0.98;
/// Lands on the edge, such as half-holes', have their centres about it.
const ABOUT_EDGE: Nm = 1_000_000;

/// Looks for layers and holes that do not stand as the rest of the board does.
pub(super) fn check(board: &mut Board, box_: Option<Extent>) {
    let Some(box_) = box_ else { return };
    let mut laid = Vec::new();
    let (hole_doubts, odd_holes) = holes(board, box_, &mut laid);
    let (copper_doubts, odd_copper) = copper(board, &odd_holes, box_, &mut laid);
    let mut doubts = hole_doubts;
    doubts.extend(copper_doubts);
    doubts.extend(openings(board, &odd_copper, box_, &mut laid));
    doubts.extend(legends(board));
    let asked = |file: u32| doubts.iter().any(|d: &Doubt| d.sources.iter().any(|s| s.file == file));
    let printed: Vec<Doubt> = super::overlap::doubts(board).into_iter().filter(|d| !asked(d.sources[0].file)).collect();
    doubts.extend(printed);
    if doubts.is_empty() {
        doubts.extend(outside(board));
    }
    if doubts.is_empty() {
        doubts.extend(super::margins::doubt(board));
    }
    laid.sort_by_key(|r| r.file);
    board.registrations = laid;
    board.doubts.extend(doubts);
}

fn image(board: &Board, file: u32) -> Option<&Image> {
    board.images.get(file as usize)?.as_ref()
}

fn outer(board: &Board) -> Vec<(u32, Side)> {
    board.copper.iter().filter(|c| c.side != Side::Inner).map(|c| (c.file, c.side)).collect()
}

/// Hole files by number.
fn hole_files(board: &Board) -> Vec<u32> {
    let mut files: Vec<u32> = board.holes.iter().map(|h| h.source.file).collect();
    files.sort_unstable();
    files.dedup();
    files
}

/// Where the holes of a file would have lands; none for holes said to be non-plated.
fn axes_of(board: &Board, file: u32) -> Vec<Point> {
    let own = board.holes.iter().filter(|h| h.source.file == file && h.plating != HolePlating::Unplated);
    own.map(|h| register::land_of(&h.shape)).collect()
}

/// Hole files against the lands of all outer copper; also the files that do not fit.
fn holes(board: &Board, box_: Extent, laid: &mut Vec<Registration>) -> (Vec<Doubt>, Vec<u32>) {
    let lands = Lands::of(outer(board).into_iter().filter_map(|(file, _)| image(board, file)));
    let mut doubts = Vec::new();
    let mut odd = Vec::new();
    for file in hole_files(board) {
        let Some(fit) = register::fit(&axes_of(board, file), &lands, box_) else { continue };
        laid.push(fit.registration(file, "lands of the outer copper".to_owned()));
        if fit.better.is_some() {
            odd.push(file);
            doubts.extend(holes_doubt(board, file, &fit));
        }
    }
    (doubts, odd)
}

fn holes_doubt(board: &Board, file: u32, fit: &Fit) -> Option<Doubt> {
    let way = fit.better?;
    let path = &board.files[file as usize].path;
    let words = way.words();
    let moved = way.is_shift() || way.is_scale();
    Some(Doubt {
        rule: if moved { "shifted-holes" } else { "mirrored-layer" },
        seen: format!("the holes of {path} fit the outer copper only when {words}"),
        reasons: reasons(fit, &way, "holes", "land"),
        sources: vec![Source { file, line: 0 }],
        places: Vec::new(),
        readings: vec![reading(&way, &format!("the holes of {path} are")), "the drill file is sent again".to_owned()],
    })
}

fn reasons(fit: &Fit, way: &Way, what: &str, how: &str) -> Vec<String> {
    let as_is = format!("as sent, {:.0} % of {} {what} {how}", fit.as_is() * 100.0, fit.count);
    let then = format!("{}, {:.0} % do", way.words(), way.share * 100.0);
    [as_is, then].into_iter().chain(way.left()).collect()
}

/// A shift is offered as an alignment, all else as the change it is.
fn reading(way: &Way, subject: &str) -> String {
    let aligned = if way.is_shift() { "aligned as shown, " } else { "" };
    format!("{subject} to be {aligned}{}", way.words())
}

/// A layer seen through its picture: a hole stands as it should where the copper goes all round it or
/// keeps off all round, as inside a plane.
struct Picture {
    raster: Raster,
    lands: Lands,
}

impl Ground for Picture {
    fn share(&self, points: &[Point]) -> f64 {
        const AWAY: [(Nm, Nm); 8] = [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (1, -1), (-1, 1), (-1, -1)];
        let dark = |p: &Point, reach: Nm| {
            AWAY.iter().filter(|(x, y)| self.raster.dark_at(Point::new(p.x + x * reach, p.y + y * reach))).count()
        };
        // Beside the axis: all dark on a land, all clear in a clearance.
        let stands = |p: &&Point| matches!(dark(p, 200_000), 0 | 8) && self.raster.grid.cell_of(**p).is_some();
        points.iter().filter(stands).count() as f64 / points.len().max(1) as f64
    }

    fn centres(&self) -> &Lands {
        &self.lands
    }
}

/// Copper against the holes that fit.
fn copper(board: &Board, odd_holes: &[u32], box_: Extent, laid: &mut Vec<Registration>) -> (Vec<Doubt>, Vec<u32>) {
    let files = hole_files(board).into_iter().filter(|f| !odd_holes.contains(f));
    let axes: Vec<Point> = files.flat_map(|f| axes_of(board, f)).collect();
    let fits = in_parallel(&board.copper, |layer| {
        let image = image(board, layer.file)?;
        if layer.side == Side::Inner { inner_fit(image, &axes, box_) } else { outer_fit(image, &axes, box_) }
    });
    let mut doubts = Vec::new();
    let mut odd = Vec::new();
    for (layer, fit) in board.copper.iter().zip(fits) {
        let Some(fit) = fit else { continue };
        laid.push(fit.registration(layer.file, "holes".to_owned()));
        if fit.better.is_some() {
            odd.push(layer.file);
            doubts.extend(layer_doubt(board, layer.file, &fit, "holes", "stand on its lands"));
        }
    }
    (doubts, odd)
}

fn outer_fit(image: &Image, axes: &[Point], box_: Extent) -> Option<Fit> {
    register::fit(axes, &Lands::of([image]), box_).map(Fit::back)
}

/// Inner copper: by its lands where it has them, else by its picture.
fn inner_fit(image: &Image, axes: &[Point], box_: Extent) -> Option<Fit> {
    let lands = Lands::of([image]);
    let own: Vec<Point> = lands.points().collect();
    // The other way about, since an inner layer need not have a land at every hole.
    let by_lands = register::fit(&own, &Lands::of_points(axes.to_vec()), box_);
    if let Some(fit) = by_lands.filter(|f| f.as_is() >= 0.5 || f.better.is_some()) {
        return Some(if fit.as_is() >= 0.5 { fit.without_better() } else { fit });
    }
    let grid = std::sync::Arc::new(Grid::over(extent::of_image(image)?.grown(1_000_000)));
    let picture = Picture { raster: Raster::of(image, &grid), lands };
    register::fit(axes, &picture, box_).map(Fit::back)
}

fn layer_doubt(board: &Board, file: u32, fit: &Fit, what: &str, how: &str) -> Option<Doubt> {
    let way = fit.better?;
    let path = &board.files[file as usize].path;
    let words = way.words();
    let moved = way.is_shift() || way.is_scale();
    Some(Doubt {
        rule: if moved { "misplaced-layer" } else { "mirrored-layer" },
        seen: format!("{path} fits the rest of the board only when {words}"),
        reasons: reasons(fit, &way, what, how),
        sources: vec![Source { file, line: 0 }],
        places: Vec::new(),
        readings: vec![
            reading(&way, &format!("{path} is")),
            format!("{path} is right as it is"),
            format!("{path} is sent again"),
        ],
    })
}

/// Masks, pastes, and what legends were cut out for, against the copper of their side.
fn openings(board: &Board, odd: &[u32], box_: Extent, laid: &mut Vec<Registration>) -> Vec<Doubt> {
    let mut doubts = Vec::new();
    for (copper, side) in outer(board).into_iter().filter(|(file, _)| !odd.contains(file)) {
        let Some(lands) = image(board, copper).map(|i| Lands::of([i])) else { continue };
        let layers = board.masks.iter().chain(&board.pastes).map(|l| (l, false));
        let layers = layers.chain(board.legends.iter().map(|l| (l, true)));
        for (layer, legend) in layers.filter(|(l, _)| l.side == side) {
            let Some(fit) = image(board, layer.file).and_then(|own| openings_fit(own, legend, &lands, box_)) else {
                continue;
            };
            laid.push(fit.registration(layer.file, format!("lands of {}", board.files[copper as usize].path)));
            doubts.extend(layer_doubt(board, layer.file, &fit, "openings", "stand on lands"));
        }
    }
    doubts
}

/// All openings, or where those fit nowhere, as letters in a mask do not, the flashed ones.
fn openings_fit(own: &Image, legend: bool, lands: &Lands, box_: Extent) -> Option<Fit> {
    let fit = |points: Lands| register::fit(&points.points().collect::<Vec<_>>(), lands, box_);
    if legend {
        return fit(Lands::of_cleared(own));
    }
    let all = fit(Lands::of([own]))?;
    if all.as_is() >= 0.9 || all.better.is_some() { Some(all) } else { fit(Lands::of_flashes(own)).or(Some(all)) }
}

/// Legends whose text reads the wrong way round for their side.
fn legends(board: &Board) -> Vec<Doubt> {
    let readings = in_parallel(&board.legends, |legend| {
        let image = image(board, legend.file)?;
        let grid = std::sync::Arc::new(Grid::over(extent::of_image(image)?.grown(1_000_000)));
        Some(glyphs::read(&Raster::of(image, &grid)))
    });
    let wrong = board.legends.iter().zip(readings).filter_map(|(legend, reading)| {
        let reading = reading?;
        let right = if legend.side == Side::Top { reading.weight() } else { -reading.weight() };
        (right <= -WRONG_WAY && reading.characters >= CHARACTERS)
            .then(|| legend_doubt(board, legend.file, legend.side, &reading))
    });
    wrong.collect()
}

fn legend_doubt(board: &Board, file: u32, side: Side, reading: &glyphs::Reading) -> Doubt {
    let path = &board.files[file as usize].path;
    let (is, should) = if side == Side::Top { ("mirrored", "as it is") } else { ("as it is", "mirrored") };
    let other = if side == Side::Top { "bottom" } else { "top" };
    Doubt {
        rule: "mirrored-legend",
        seen: format!("the text of {path}, the {} legend, reads {is} seen from the top", side.word()),
        reasons: vec![format!(
            "about {} characters read best {is}; the {} legend should read {should} seen from the top",
            reading.characters,
            side.word()
        )],
        sources: vec![Source { file, line: 0 }],
        places: Vec::new(),
        readings: vec![
            format!("{path} is to be mirrored"),
            format!("{path} is the {other} legend"),
            format!("{path} is right as it is"),
        ],
    }
}

/// An outline, or a file of holes, that does not lie where the lands are.
fn outside(board: &Board) -> Vec<Doubt> {
    let contours = board.outline.contours.iter().flat_map(crate::geometry::flatten::contour);
    let Some(edge) = extent::of_points(contours) else { return Vec::new() };
    let around = edge.grown(ABOUT_EDGE);
    let lands = Lands::of(outer(board).into_iter().filter_map(|(file, _)| image(board, file)));
    let lands: Vec<Point> = lands.points().collect();
    let share = |points: &[Point]| points.iter().filter(|p| around.holds(**p)).count() as f64 / points.len() as f64;
    let mut doubts = Vec::new();
    if lands.len() >= register::FEW && share(&lands) < INSIDE {
        let reason = format!("{:.0} % of {} lands lie inside it", share(&lands) * 100.0, lands.len());
        doubts.extend(board.outline.files.first().map(|f| outside_doubt(board, *f, "the outline", reason)));
        return doubts;
    }
    for file in hole_files(board) {
        let own: Vec<Point> =
            board.holes.iter().filter(|h| h.source.file == file).map(|h| register::land_of(&h.shape)).collect();
        if share(&own) < 0.9 {
            let reason = format!("{:.0} % of its {} holes lie inside the outline", share(&own) * 100.0, own.len());
            doubts.push(outside_doubt(board, file, "the drill file", reason));
        }
    }
    doubts
}

fn outside_doubt(board: &Board, file: u32, what: &str, reason: String) -> Doubt {
    let path = &board.files[file as usize].path;
    Doubt {
        rule: "misplaced-layer",
        seen: format!("{path}, {what}, does not lie where the other layers lie"),
        reasons: vec![reason],
        sources: vec![Source { file, line: 0 }],
        places: Vec::new(),
        readings: vec![format!("{path} is sent again in the coordinates of the other layers")],
    }
}

/// The box the orientations are tried about: the outline's, else the copper's.
pub(super) fn box_of(board: &Board) -> Option<Extent> {
    let outline = extent::of_points(board.outline.contours.iter().flat_map(crate::geometry::flatten::contour));
    outline.or_else(|| copper_box(board))
}

/// The box of the outer copper.
pub(super) fn copper_box(board: &Board) -> Option<Extent> {
    let images = board.copper.iter().filter_map(|c| image(board, c.file));
    extent::of_points(images.filter_map(extent::of_image).flat_map(|e| [e.low, e.high]))
}

/// The box that plated lands spread over, for judging outlines: flashes lie inside the board.
pub(super) fn lands_box(board: &Board) -> Option<Extent> {
    let images =
        board.files.iter().zip(&board.images).filter(|(f, _)| f.role == Role::Copper).filter_map(|(_, i)| i.as_ref());
    let lands = Lands::of(images);
    let limit: Nm = landgap_parser::length::COORDINATE_MAX;
    extent::of_points(lands.points().filter(|p| p.x.abs() <= limit && p.y.abs() <= limit))
}
