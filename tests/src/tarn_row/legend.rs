//! Legend: bodies of parts and their names, kept clear of openings in the mask.

use super::footprint::Part;
use super::glyph;
use super::model::{Form, Item, Pin, Point, Side, What, at};
use super::route_grid::Obstacle;

/// What the legend keeps to.
pub struct Pen {
    /// Stroke width.
    pub stroke: i64,
    /// One unit of the letter grid; letters are six high.
    pub unit: i64,
    /// Least distance of a stroke's axis from a land.
    pub keep: i64,
}

/// A legend in the making, on one side.
pub struct Legend {
    pen: Pen,
    side: Side,
    taken: Vec<Obstacle>,
    pub items: Vec<Item>,
}

impl Legend {
    pub fn new(pen: Pen, side: Side, pins: &[Pin], holes: &[(Point, i64)]) -> Self {
        let lands = pins.iter().filter(|p| p.side == side || p.side == Side::Through);
        let mut taken: Vec<Obstacle> = lands.map(|p| Obstacle::land(p.at, p.form, Side::Through, &p.net)).collect();
        taken.extend(holes.iter().map(|(p, size)| Obstacle::land(*p, Form::Disc(*size), Side::Through, "")));
        Self { pen, side, taken, items: Vec::new() }
    }

    /// Draws a part's body where it is clear of lands, and its name beside it.
    pub fn part(&mut self, part: &Part) {
        let (w, h) = part.half_body();
        let c = part.at;
        if w > 0 {
            let corners = [c.plus(-w, -h), c.plus(w, -h), c.plus(w, h), c.plus(-w, h), c.plus(-w, -h)];
            for pair in corners.windows(2) {
                self.clear_line(pair[0], pair[1]);
            }
        }
        self.name(part, w, h);
    }

    fn name(&mut self, part: &Part, w: i64, h: i64) {
        let u = self.pen.unit;
        let (half, high) = (text_width(part.name, u) / 2, 6 * u);
        for gap in [3 * u, 8 * u, 14 * u] {
            let places = [
                part.at.plus(-half, h + gap),
                part.at.plus(-half, -h - gap - high),
                part.at.plus(w + gap, -high / 2),
                part.at.plus(-w - gap - 2 * half, -high / 2),
            ];
            if let Some(p) = places.into_iter().find(|p| self.is_free(*p, p.plus(2 * half, high))) {
                self.text(p, part.name);
                return;
            }
        }
    }

    fn is_free(&self, low: Point, high: Point) -> bool {
        let step = self.pen.unit.max(1);
        let columns = (low.x..=high.x).step_by(usize::try_from(step).unwrap_or(1));
        columns
            .flat_map(|x| (low.y..=high.y).step_by(usize::try_from(step).unwrap_or(1)).map(move |y| at(x, y)))
            .all(|p| self.taken.iter().all(|o| !o.near(p, self.pen.keep)))
    }

    /// Writes a text from its lower left corner as one reads it.
    pub fn text(&mut self, low: Point, text: &str) {
        let u = self.pen.unit;
        let width = text_width(text, u);
        for (i, letter) in (0i64..).zip(text.chars()) {
            for stroke in glyph::strokes(letter).split(',') {
                let points: Vec<Point> = stroke.split_whitespace().filter_map(grid).collect();
                for pair in points.windows(2) {
                    let [a, b] = [pair[0], pair[1]].map(|p| self.mirrored(low, width, (i * 6 + p.x) * u, p.y * u));
                    self.line(a, b);
                }
            }
        }
        let (a, b) = (low, low.plus(width, 6 * u));
        self.taken.push(Obstacle::land(
            at(a.x.midpoint(b.x), a.y.midpoint(b.y)),
            Form::Rect(width, 6 * u),
            Side::Through,
            "",
        ));
    }

    fn mirrored(&self, low: Point, width: i64, x: i64, y: i64) -> Point {
        if self.side == Side::Bottom { low.plus(width - x, y) } else { low.plus(x, y) }
    }

    fn clear_line(&mut self, a: Point, b: Point) {
        const PIECES: i64 = 40;
        let on = |i: i64| at(a.x + (b.x - a.x) * i / PIECES, a.y + (b.y - a.y) * i / PIECES);
        let clear = |i: i64| self.taken.iter().all(|o| !o.near(on(i), self.pen.keep));
        let free: Vec<bool> = (0..=PIECES).map(clear).collect();
        let mut start = None;
        for i in 0..=PIECES {
            let here = free[usize::try_from(i).unwrap_or(0)];
            match (start, here) {
                (None, true) => start = Some(i),
                (Some(s), false) => {
                    self.run(on(s), on(i - 1));
                    start = None;
                }
                _ => {}
            }
        }
        if let Some(s) = start {
            self.run(on(s), b);
        }
    }

    fn run(&mut self, a: Point, b: Point) {
        if (a.x - b.x).abs() + (a.y - b.y).abs() > 2 * self.pen.stroke {
            self.line(a, b);
        }
    }

    fn line(&mut self, a: Point, b: Point) {
        self.items.push(Item::dark(What::Draw(a, b, self.pen.stroke), ""));
    }
}

fn text_width(text: &str, unit: i64) -> i64 {
    (text.chars().count() as i64 * 6 - 2) * unit
}

fn grid(word: &str) -> Option<Point> {
    let mut digits = word.chars().filter_map(|c| c.to_digit(10));
    Some(at(i64::from(digits.next()?), i64::from(digits.next()?)))
}
