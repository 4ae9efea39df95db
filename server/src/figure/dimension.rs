//! A dimension between two witness points, as a drawing sheet has it.

use super::sheet::{Fill, INK, Sheet, number};
use super::view::{Frame, Px};

/// How far the dimension line stands off the points it measures.
const OFFSET: f64 = 64.0;
/// How far the extension lines run past it.
const PAST: f64 = 8.0;
/// Height of the words.
const LETTERS: f64 = 30.0;
/// Length of the arrows that point at a short dimension from outside.
const OUTSIDE: f64 = 34.0;

/// Draws extension lines, the dimension line with its arrows, and the words.
pub fn draw(sheet: &mut Sheet, frame: Frame, a: Px, b: Px, words: &str) {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = (dx * dx + dy * dy).sqrt();
    if length < 0.5 {
        point(sheet, frame, a, words);
        return;
    }
    let along = (dx / length, dy / length);
    let off = away(frame, a, along);
    let at = |p: Px, by: f64| (p.0 + off.0 * by, p.1 + off.1 * by);
    for p in [a, b] {
        sheet.line(at(p, 4.0), at(p, OFFSET + PAST), 0.7, "");
        sheet.dot(p, 2.0);
    }
    let (from, to) = (at(a, OFFSET), at(b, OFFSET));
    if length > 3.0 * OUTSIDE {
        sheet.line(from, to, 0.7, "");
        arrow(sheet, from, (-along.0, -along.1));
        arrow(sheet, to, along);
    } else {
        outside(sheet, from, (-along.0, -along.1));
        outside(sheet, to, along);
        sheet.line(from, to, 0.7, "");
    }
    label(sheet, frame, from, to, off, words);
}

/// The side of the measured line that looks towards the middle of the frame.
fn away(frame: Frame, a: Px, along: Px) -> Px {
    let normal = (-along.1, along.0);
    let middle = (frame.left + frame.width / 2.0, frame.top + frame.height / 2.0);
    let towards = (middle.0 - a.0) * normal.0 + (middle.1 - a.1) * normal.1;
    // In the middle of the frame either side will do: upwards, where the words stand clear.
    let flip = if towards.abs() < 20.0 { normal.1 > 0.0 } else { towards < 0.0 };
    if flip { (-normal.0, -normal.1) } else { normal }
}

/// An arrow whose tip is at `tip`, pointing along `way`.
fn arrow(sheet: &mut Sheet, tip: Px, way: Px) {
    let back = (tip.0 - way.0 * 9.0, tip.1 - way.1 * 9.0);
    let side = (-way.1 * 2.6, way.0 * 2.6);
    let d = format!(
        "M{} {}L{} {}L{} {}Z",
        number(tip.0),
        number(tip.1),
        number(back.0 + side.0),
        number(back.1 + side.1),
        number(back.0 - side.0),
        number(back.1 - side.1)
    );
    sheet.path(&d, INK, 0.0, "");
}

/// An arrow that points back at `tip` from outside, `way` leading away from the dimension.
fn outside(sheet: &mut Sheet, tip: Px, way: Px) {
    sheet.line(tip, (tip.0 + way.0 * OUTSIDE, tip.1 + way.1 * OUTSIDE), 0.7, "");
    arrow(sheet, tip, (-way.0, -way.1));
}

/// The words where they stand clear of the dimension: beside it, else above or below its arrows.
fn label(sheet: &mut Sheet, frame: Frame, from: Px, to: Px, off: Px, words: &str) {
    // Half of the words' extent, by a letter's usual width.
    let wide = words.chars().count() as f64 * LETTERS * 0.25 + 8.0;
    let (x, y) = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0 + LETTERS * 0.35);
    let beside = (x + off.0 * (wide + PAST + 6.0), y + off.1 * 28.0);
    let above = (x, from.1.min(to.1) - OUTSIDE - 8.0);
    let below = (x, from.1.max(to.1) + OUTSIDE + 22.0);
    let fits = |(x, y): &Px| {
        *x >= frame.left + wide
            && *x <= frame.left + frame.width - wide
            && *y >= frame.top + LETTERS
            && *y <= frame.top + frame.height - 8.0
    };
    let at = [beside, above, below]
        .into_iter()
        .find(fits)
        .unwrap_or((frame.left + frame.width / 2.0, frame.top + LETTERS + 8.0));
    sheet.text(at, "middle", LETTERS, words);
}

/// Both points fall together: a ring round the place and the words beside it.
fn point(sheet: &mut Sheet, frame: Frame, at: Px, words: &str) {
    sheet.circle(at, 14.0, Fill::Open, 1.0, "");
    sheet.dot(at, 2.0);
    label(sheet, frame, at, at, (0.0, -1.4), words);
}
