//! How placing, and the whole way with recognising and measuring, grow with the board: from 10⁴ to 10⁶
//! objects at constant density, with the exponent fitted over all sizes.
//!
//! The board is drawn for the purpose: a field of vias with lands on two coppers, openings in two masks
//! and a hole each, every via joined to the next in its row. Placing is timed once with the files named
//! and once with nothing but their content to tell them by; reading is part of both and shown apart.

use std::fmt::Write as _;
use std::hint::black_box;
use std::time::{Duration, Instant};

use landgap_parser::{Limits, artwork};
use landgap_rules::check::{InputFile, Told, measure};
use landgap_rules::place::place;

/// Distance from via to via, in micrometres.
const PITCH: usize = 1_000;
/// Objects a via: two lands, two openings, two tracks; its hole comes on top.
const OBJECTS: usize = 6;
const SIZES: [usize; 5] = [10_000, 32_000, 100_000, 320_000, 1_000_000];

fn main() {
    let mut times: [Vec<(f64, f64)>; 4] = Default::default();
    for objects in SIZES {
        let named = board(objects, true);
        let nameless = board(objects, false);
        let limits = Limits::default();
        let took = [
            timed(|| {
                named
                    .iter()
                    .filter(|f| !f.path.ends_with("drl"))
                    .filter(|f| artwork::read(&f.bytes, &limits).is_ok())
                    .count()
            }),
            timed(|| place(&named, &Told::new(), &limits, &|_| {})),
            timed(|| place(&nameless, &Told::new(), &limits, &|_| {})),
            timed(|| measure(&named, &Told::new(), &limits, &|_| {})),
        ];
        println!(
            "{objects} objects: reading {:?}, placing {:?}, placing by content {:?}, whole way {:?}",
            took[0], took[1], took[2], took[3]
        );
        for (list, time) in times.iter_mut().zip(took) {
            list.push(((objects as f64).ln(), time.as_secs_f64().ln()));
        }
    }
    for (name, points) in ["reading", "placing", "placing by content", "whole way"].iter().zip(&times) {
        println!("{name}: time grows with objects to the power of {:.2}", slope(points));
    }
}

fn timed<T>(work: impl FnOnce() -> T) -> Duration {
    let started = Instant::now();
    black_box(work());
    started.elapsed()
}

/// Least squares through the logarithms.
fn slope(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let (mx, my) = (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let over: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    over / points.iter().map(|p| (p.0 - mx).powi(2)).sum::<f64>()
}

/// Vias on a grid, each a little off it so that no shift but none fits.
fn vias(objects: usize) -> Vec<(usize, usize)> {
    let count = objects / OBJECTS;
    let side = (count as f64).sqrt().ceil() as usize;
    let off = |i: usize, by: usize| (i * by) % 200;
    (0..count).map(|i| (i % side * PITCH + 1_000 + off(i, 37), i / side * PITCH + 1_000 + off(i, 61))).collect()
}

fn board(objects: usize, named: bool) -> Vec<InputFile> {
    let vias = vias(objects);
    let side = (vias.len() as f64).sqrt().ceil() as usize;
    let layer = |pad: f64, tracks: bool, odd: usize| {
        let mut text = format!("%FSLAX63Y63*%\n%MOMM*%\n%ADD10C,{pad}*%\n%ADD11C,0.15*%\nG01*\nD10*\n");
        vias.iter().for_each(|(x, y)| writeln!(text, "X{x}Y{y}D03*").expect("a string takes it"));
        text += "D11*\n";
        for (i, pair) in vias.windows(2).enumerate().filter(|(i, _)| tracks && i % side % 4 != 3 && i % 8 != odd) {
            let ((x, y), (u, v)) = (pair[0], pair[1]);
            if i % side + 1 < side {
                writeln!(text, "X{x}Y{y}D02*\nX{u}Y{v}D01*").expect("a string takes it");
            }
        }
        (text + "M02*\n").into_bytes()
    };
    let edge = (side + 2) * PITCH;
    let outline = format!(
        "%FSLAX63Y63*%\n%MOMM*%\n%ADD10C,0.1*%\nG01*\nD10*\nX0Y0D02*\nX{edge}Y0D01*\nX{edge}Y{edge}D01*\nX0Y{edge}D01*\nX0Y0D01*\nM02*\n"
    );
    let mut drill = "M48\nMETRIC\nT1C0.3\n%\nT1\n".to_owned();
    for (x, y) in &vias {
        writeln!(drill, "X{:.3}Y{:.3}", *x as f64 / 1e3, *y as f64 / 1e3).expect("a string takes it");
    }
    let files = [
        ("field.gtl", layer(0.6, true, 1)),
        ("field.gbl", layer(0.6, true, 5)),
        ("field.gts", layer(0.7, false, 0)),
        ("field.gbs", layer(0.7, false, 0)),
        ("field.gko", outline.into_bytes()),
        ("field.drl", (drill + "M30\n").into_bytes()),
    ];
    let path = |i: usize, name: &str| {
        if named || name.ends_with("drl") { name.to_owned() } else { format!("f{i}.bin") }
    };
    files.into_iter().enumerate().map(|(i, (name, bytes))| InputFile { path: path(i, name), bytes }).collect()
}
