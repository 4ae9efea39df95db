//! Footprints as lists of lands round an origin, before they are turned and placed.

use super::model::{Form, Pin, Point, Side, at};

/// A land of a footprint.
#[derive(Clone, Copy, Debug)]
pub struct Land {
    pub at: Point,
    pub form: Form,
    /// Size of its hole and half the slot's reach along x and y.
    pub hole: Option<(i64, i64, i64)>,
}

/// A part: where it stands, its lands and the half size of its body.
pub struct Part {
    pub name: &'static str,
    pub at: Point,
    pub quarters: u8,
    pub side: Side,
    pub lands: Vec<Land>,
    pub body: (i64, i64),
    pub nets: &'static [&'static str],
}

impl Part {
    fn turned(&self, p: Point) -> Point {
        match self.quarters % 4 {
            0 => p,
            1 => at(-p.y, p.x),
            2 => at(-p.x, -p.y),
            _ => at(p.y, -p.x),
        }
    }

    /// The part's pins on the board.
    pub fn pins(&self) -> Vec<Pin> {
        self.lands.iter().zip(self.nets).enumerate().map(|(i, (land, net))| self.pin(i, *land, net)).collect()
    }

    fn pin(&self, index: usize, land: Land, net: &str) -> Pin {
        let offset = self.turned(land.at);
        let hole = land.hole.map(|(size, x, y)| if self.quarters % 2 == 1 { (size, y, x) } else { (size, x, y) });
        Pin {
            part: self.name.into(),
            name: (index + 1).to_string(),
            net: net.into(),
            at: self.at.plus(offset.x, offset.y),
            form: land.form.turned(self.quarters),
            side: if hole.is_some() { Side::Through } else { self.side },
            function: if hole.is_some() { "ComponentPad" } else { "SMDPad,CuDef" },
            hole,
        }
    }

    /// Half width and half height of the body as placed.
    pub const fn half_body(&self) -> (i64, i64) {
        let (w, h) = self.body;
        if self.quarters % 2 == 1 { (h, w) } else { (w, h) }
    }
}

const fn land(x: i64, y: i64, form: Form) -> Land {
    Land { at: at(x, y), form, hole: None }
}

/// Two lands in a row.
pub fn two(reach: i64, form: Form) -> Vec<Land> {
    vec![land(-reach, 0, form), land(reach, 0, form)]
}

/// Two columns of lands, counted down the left and up the right.
pub fn columns(count: usize, pitch: i64, reach: i64, form: Form) -> Vec<Land> {
    let half = count / 2;
    let y = |row: usize| pitch * (half as i64 - 1) / 2 - pitch * row as i64;
    let left = (0..half).map(|row| land(-reach, y(row), form));
    let right = (0..half).rev().map(|row| land(reach, y(row), form));
    left.chain(right).collect()
}

/// Lands on four sides, counted counter-clockwise from the upper left.
pub fn four_sides(per_side: usize, pitch: i64, reach: i64, form: Form) -> Vec<Land> {
    let first = pitch * (per_side as i64 - 1) / 2;
    let along = |i: usize| first - pitch * i as i64;
    let lying = form;
    let standing = form.turned(1);
    let sides = [
        (0..per_side).map(|i| land(-reach, along(i), lying)).collect::<Vec<_>>(),
        (0..per_side).map(|i| land(-along(i), -reach, standing)).collect(),
        (0..per_side).map(|i| land(reach, -along(i), lying)).collect(),
        (0..per_side).map(|i| land(along(i), reach, standing)).collect(),
    ];
    sides.concat()
}

/// Drilled lands in rows along y: `count` of them, `per_row` side by side; the first is square.
pub fn header(count: usize, per_row: usize, pitch: i64, hole: i64, size: i64) -> Vec<Land> {
    let rows = count.div_ceil(per_row);
    (0..count)
        .map(|i| {
            let x = pitch * (i % per_row) as i64 - pitch * (per_row as i64 - 1) / 2;
            let y = pitch * (rows as i64 - 1) / 2 - pitch * (i / per_row) as i64;
            let form = if i == 0 { Form::Rect(size, size) } else { Form::Disc(size) };
            Land { at: at(x, y), form, hole: Some((hole, 0, 0)) }
        })
        .collect()
}

/// A small package with two lands on one side and one on the other.
pub fn three(pitch: i64, reach: i64, form: Form) -> Vec<Land> {
    vec![land(-reach, pitch, form), land(-reach, -pitch, form), land(reach, 0, form)]
}

/// A small package with three lands on one side and two on the other.
pub fn five(pitch: i64, reach: i64, form: Form) -> Vec<Land> {
    vec![
        land(-reach, pitch, form),
        land(-reach, 0, form),
        land(-reach, -pitch, form),
        land(reach, -pitch, form),
        land(reach, pitch, form),
    ]
}

/// A single land, with a slot where `hole` says so.
pub fn single(form: Form, hole: Option<(i64, i64, i64)>) -> Vec<Land> {
    vec![Land { at: at(0, 0), form, hole }]
}
