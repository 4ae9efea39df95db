//! Writes a board's netlist as IPC-D-356A in metric units (0.001 mm), from the layout's own nets.

use std::fmt::Write as _;

use super::model::{Board, Form, Hole, Item, Point, What};

/// The whole netlist.
pub fn ipc_d_356a(board: &Board, job: &str) -> String {
    let mut text = format!(
        "C  Tarn Row demo board, drawn by a program of the Landgap project\n\
         P  JOB   {job}\nP  UNITS SI\nP  VER   IPC-D-356A\nP  IMAGE PRIMARY\n"
    );
    for hole in board.holes.iter().filter(|h| h.plated && !h.net.is_empty()) {
        through(&mut text, hole, &board.copper[0]);
    }
    for (copper, access) in [(board.copper.first(), "A01"), (board.copper.last(), "A02")] {
        for item in copper.into_iter().flatten().filter(|i| i.pin.is_some()) {
            surface(&mut text, item, access, &board.holes);
        }
    }
    text.push_str("999\n");
    text
}

fn middle(hole: &Hole) -> Point {
    Point { x: (hole.from.x + hole.to.x) / 2, y: (hole.from.y + hole.to.y) / 2 }
}

fn through(text: &mut String, hole: &Hole, top: &[Item]) {
    let at = middle(hole);
    let land = top.iter().find(|i| matches!(i.what, What::Flash(p, _) if p == at));
    let pin = land.and_then(|i| i.pin.as_ref());
    let size = land.map_or((hole.size, 0), extent);
    let drilled = format!("D{:04}P", hole.size);
    record(text, "317", &hole.net, pin, &drilled, "A00", at, size);
}

fn surface(text: &mut String, item: &Item, access: &str, holes: &[Hole]) {
    let (What::Flash(at, _), Some(net)) = (&item.what, &item.net) else { return };
    if holes.iter().any(|h| h.plated && middle(h) == *at) {
        return;
    }
    record(text, "327", net, item.pin.as_ref(), "      ", access, *at, extent(item));
}

/// Extent along x and y; y is 0 for a round land.
fn extent(item: &Item) -> (i64, i64) {
    match &item.what {
        What::Flash(_, Form::Disc(d)) => (*d, 0),
        What::Flash(_, Form::Rect(w, h) | Form::Oblong(w, h)) => (*w, *h),
        _ => (0, 0),
    }
}

#[allow(clippy::too_many_arguments, reason = "the fields of a record, in its order")]
fn record(
    text: &mut String,
    code: &str,
    net: &str,
    pin: Option<&(String, String)>,
    hole: &str,
    access: &str,
    at: Point,
    size: (i64, i64),
) {
    let (part, name) = pin.map_or(("VIA", ""), |(part, name)| (part.as_str(), name.as_str()));
    let dash = if pin.is_some() { "-" } else { " " };
    let sign = |v: i64| if v < 0 { '-' } else { '+' };
    let _ = writeln!(
        text,
        "{code}{net:<14}   {part:<6}{dash}{name:<4} {hole}{access}X{}{:06}Y{}{:06}X{:04}Y{:04}R000 S0",
        sign(at.x),
        at.x.abs(),
        sign(at.y),
        at.y.abs(),
        size.0,
        size.1
    );
}
