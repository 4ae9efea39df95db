//! Faults planted in the sound board, each with the value that follows from its own numbers.

use std::fmt::Write as _;

use super::logger::{STITCHES, TRACK, VIA_HOLE, WIDTH, via_hole};
use super::model::{Board, Form, Hole, Item, Point, What, at};
use super::plane::clearance;

/// A planted fault.
pub struct Fault {
    rule: &'static str,
    file: &'static str,
    layer: Option<u32>,
    at: Point,
    measured: Option<i64>,
    near: i64,
    note: &'static str,
}

const TOP: &str = "buoy-logger-copper-1.gbr";
const BOTTOM: &str = "buoy-logger-copper-4.gbr";
const INNER: &str = "buoy-logger-copper-3.gbr";
const PLATED: &str = "buoy-logger-plated.xnc";
const UNPLATED: &str = "buoy-logger-unplated.xnc";
const MASK: &str = "buoy-logger-mask-top.gbr";

/// Plants every fault and says what must be found.
pub fn plant(mut board: Board) -> (Board, Vec<Fault>) {
    let mut truth = Vec::new();
    thin_ring(&mut board, &mut truth);
    moved_hole(&mut board, &mut truth);
    small_hole(&mut board, &mut truth);
    close_holes(&mut board, &mut truth);
    tight_antipad(&mut board, &mut truth);
    pushed_track(&mut board, &mut truth, 0, (5000, 6600), 100);
    pushed_track(&mut board, &mut truth, 3, (5000, 6600), 70);
    narrow_track(&mut board, &mut truth);
    stub_to_edge(&mut board, &mut truth);
    stub_to_peg(&mut board, &mut truth);
    hole_near_edge(&mut board, &mut truth);
    wide_opening(&mut board, &mut truth);
    padless(&mut board, &mut truth);
    (board, truth)
}

fn flash_at(items: &mut [Item], place: Point, form: Form) {
    for item in items {
        if let What::Flash(p, old) = &mut item.what
            && *p == place
        {
            *old = form;
        }
    }
}

/// A via's land on the top shrunk to 0.46 mm: (460 − 300) / 2.
fn thin_ring(board: &mut Board, truth: &mut Vec<Fault>) {
    let land = 460;
    flash_at(&mut board.copper[0], STITCHES[2], Form::Disc(land));
    truth.push(Fault {
        rule: "thin-ring",
        file: TOP,
        layer: Some(1),
        at: STITCHES[2],
        measured: Some((land - VIA_HOLE) / 2),
        near: 300,
        note: "land of a via made smaller",
    });
}

/// A via's hole moved by 0.13 mm: (700 − 300) / 2 − 130, on both outer layers.
fn moved_hole(board: &mut Board, truth: &mut Vec<Fault>) {
    let shift = 130;
    let place = STITCHES[1].plus(shift, 0);
    for hole in board.holes.iter_mut().filter(|h| h.from == STITCHES[1]) {
        (hole.from, hole.to) = (place, place);
    }
    for layer in [1, 4] {
        truth.push(Fault {
            rule: "thin-ring",
            file: PLATED,
            layer: Some(layer),
            at: place,
            measured: Some((super::logger::VIA_LAND - VIA_HOLE) / 2 - shift),
            near: 400,
            note: "hole moved off centre",
        });
    }
}

fn small_hole(board: &mut Board, truth: &mut Vec<Fault>) {
    let size = 75;
    for hole in board.holes.iter_mut().filter(|h| h.from == STITCHES[3]) {
        hole.size = size;
    }
    truth.push(Fault {
        rule: "small-hole",
        file: PLATED,
        layer: None,
        at: STITCHES[3],
        measured: Some(size),
        near: 100,
        note: "finished diameter",
    });
}

/// A second ground via 0.42 mm from the last of the row: 420 − 300.
fn close_holes(board: &mut Board, truth: &mut Vec<Fault>) {
    let pitch = 420;
    let place = STITCHES[4].plus(pitch, 0);
    let hole = via_hole(place, "GND");
    let land = Item::dark(What::Flash(place, Form::Disc(super::logger::VIA_LAND)), "ViaPad").of("GND");
    for layer in [0, 1, 3] {
        board.copper[layer].push(land.clone());
    }
    board.copper[2].push(clearance(&hole, super::plane::ROOM));
    board.holes.push(hole);
    truth.push(Fault {
        rule: "holes-too-close",
        file: PLATED,
        layer: None,
        at: STITCHES[4].plus(pitch / 2, 0),
        measured: Some(pitch - VIA_HOLE),
        near: 500,
        note: "wall to wall at finished size",
    });
}

/// The clearance of a ground via in the supply plane shrunk to 0.6 mm: (600 − 300) / 2.
fn tight_antipad(board: &mut Board, truth: &mut Vec<Fault>) {
    let clear = 600;
    flash_at(&mut board.copper[2], STITCHES[0], Form::Disc(clear));
    truth.push(Fault {
        rule: "copper-near-hole",
        file: INNER,
        layer: Some(3),
        at: STITCHES[0],
        measured: Some((clear - VIA_HOLE) / 2),
        near: 600,
        note: "hole wall at finished size to foreign copper of a plane",
    });
}

/// The middle of the upper track pushed towards the lower one, leaving `gap`.
fn pushed_track(board: &mut Board, truth: &mut Vec<Fault>, layer: usize, lines: (i64, i64), gap: i64) {
    let (low, y) = lines;
    let near = low + TRACK + gap;
    let slope = y - near;
    let (from, to) = (at(51_000, y), at(53_000, y));
    let net = if layer == 0 { "BENCH2" } else { "BENCH5" };
    let items = &mut board.copper[layer];
    items.retain(|i| !matches!(i.what, What::Draw(a, b, _) if a.y == y && b.y == y && i.net.as_deref() == Some(net)));
    let way = [at(46_000, y), from.plus(-slope, 0), at(from.x, near), at(to.x, near), to.plus(slope, 0), at(58_000, y)];
    for pair in way.windows(2) {
        items.push(Item::dark(What::Draw(pair[0], pair[1], TRACK), "Conductor").of(net));
    }
    truth.push(Fault {
        rule: "tight-gap",
        file: if layer == 0 { TOP } else { BOTTOM },
        layer: Some(if layer == 0 { 1 } else { 4 }),
        at: at(52_000, low + (TRACK + gap) / 2),
        measured: Some(gap),
        near: 1500,
        note: "track pushed towards a track of another net",
    });
}

fn narrow_track(board: &mut Board, truth: &mut Vec<Fault>) {
    let width = 80;
    for item in &mut board.copper[0] {
        if let What::Draw(a, _, w) = &mut item.what
            && *a == at(51_000, 8200)
        {
            *w = width;
        }
    }
    truth.push(Fault {
        rule: "narrow-track",
        file: TOP,
        layer: Some(1),
        at: at(52_000, 8200),
        measured: Some(width),
        near: 1200,
        note: "track narrowed over 1.8 mm",
    });
}

fn stub_to_edge(board: &mut Board, truth: &mut Vec<Fault>) {
    let distance = 120;
    let end = at(58_000, distance + TRACK / 2);
    board.copper[0].push(Item::dark(What::Draw(at(58_000, 5000), end, TRACK), "Conductor").of("BENCH1"));
    truth.push(Fault {
        rule: "copper-near-edge",
        file: TOP,
        layer: Some(1),
        at: at(end.x, distance / 2),
        measured: Some(distance),
        near: 300,
        note: "track led towards the lower edge",
    });
}

/// A stub from TP6 towards the locating peg at (62.5, 8.2), of diameter 1 mm.
fn stub_to_peg(board: &mut Board, truth: &mut Vec<Fault>) {
    let distance = 110;
    let wall = 62_500 - 500;
    let end = at(wall - distance - TRACK / 2, 8200);
    board.copper[0].push(Item::dark(What::Draw(at(58_000, 8200), end, TRACK), "Conductor").of("BENCH3"));
    truth.push(Fault {
        rule: "copper-near-hole",
        file: TOP,
        layer: Some(1),
        at: at(wall - distance / 2, 8200),
        measured: Some(distance),
        near: 800,
        note: "track led towards a non-plated hole",
    });
}

fn hole_near_edge(board: &mut Board, truth: &mut Vec<Fault>) {
    let (size, distance) = (1000, 150);
    let place = at(WIDTH / 2, distance + size / 2);
    let hole = Hole { from: place, to: place, size, plated: false, function: "MechanicalDrill", net: String::new() };
    for layer in [1, 2] {
        board.copper[layer].push(clearance(&hole, super::plane::ROOM));
    }
    for mask in &mut board.mask {
        mask.push(Item::dark(What::Flash(place, Form::Disc(size + 300)), "Material"));
    }
    board.holes.push(hole);
    truth.push(Fault {
        rule: "hole-near-edge",
        file: UNPLATED,
        layer: None,
        at: at(place.x, distance / 2),
        measured: Some(distance),
        near: 800,
        note: "hole added near the lower edge",
    });
}

/// The opening over pin 1 of U1 grown towards pin 2. Lands 0.45 mm high at a pitch of 0.8 mm; the neighbour's
/// opening reaches 75 µm beyond its land: 800 − 450 − 75 − growth.
fn wide_opening(board: &mut Board, truth: &mut Vec<Fault>) {
    let growth = 215;
    let pin = at(36_000 - 4250, 22_000 + 2800);
    flash_at(&mut board.mask[0], pin, Form::Rect(1500 + 150, 450 + 2 * growth));
    truth.push(Fault {
        rule: "thin-web",
        file: MASK,
        layer: None,
        at: pin.plus(0, -225 - growth - 30),
        measured: Some(800 - 450 - 75 - growth),
        near: 1000,
        note: "opening over a land of U1 grown",
    });
}

/// The lands of J2's last pin removed on both outer layers; no plane joins it.
fn padless(board: &mut Board, truth: &mut Vec<Fault>) {
    let pin = at(65_000, 19_500 - 6250);
    for layer in [0, 3] {
        board.copper[layer].retain(|i| !matches!(i.what, What::Flash(p, _) if p == pin));
    }
    truth.push(Fault {
        rule: "padless-plated-hole",
        file: PLATED,
        layer: None,
        at: pin,
        measured: None,
        near: 600,
        note: "plated hole without a land on any layer",
    });
}

/// The truth as a file.
pub fn truth_file(faults: &[Fault]) -> String {
    let mut text = String::from(
        "# Faults planted in the buoy logger. Values follow from the generator's own arithmetic, at finished hole\n\
         # sizes and as drawn; a checker's witness point lies within near_um of x_um, y_um.\n",
    );
    for fault in faults {
        let _ = writeln!(text, "\n[[fault]]\nrule = \"{}\"\nfile = \"{}\"", fault.rule, fault.file);
        if let Some(layer) = fault.layer {
            let _ = writeln!(text, "layer = {layer}");
        }
        let _ = writeln!(text, "x_um = {}\ny_um = {}", fault.at.x, fault.at.y);
        if let Some(measured) = fault.measured {
            let _ = writeln!(text, "measured_um = {measured}\ntol_um = 1");
        }
        let _ = writeln!(text, "near_um = {}\nnote = \"{}\"", fault.near, fault.note);
    }
    text
}
