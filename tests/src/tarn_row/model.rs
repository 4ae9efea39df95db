//! A board as drawn: integer lengths in the unit of its set (micrometres, or ten-thousandths of an inch).

/// A place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Point {
    pub x: i64,
    pub y: i64,
}

/// Short for a point.
pub const fn at(x: i64, y: i64) -> Point {
    Point { x, y }
}

impl Point {
    pub const fn plus(self, x: i64, y: i64) -> Self {
        at(self.x + x, self.y + y)
    }
}

/// The form of a land or opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    Disc(i64),
    Rect(i64, i64),
    Oblong(i64, i64),
}

impl Form {
    /// The form grown by `by` over all (half of it on each side).
    pub const fn grown(self, by: i64) -> Self {
        match self {
            Self::Disc(d) => Self::Disc(d + by),
            Self::Rect(w, h) => Self::Rect(w + by, h + by),
            Self::Oblong(w, h) => Self::Oblong(w + by, h + by),
        }
    }

    /// The form turned by quarter turns.
    pub const fn turned(self, quarters: u8) -> Self {
        match (self, quarters % 2) {
            (Self::Rect(w, h), 1) => Self::Rect(h, w),
            (Self::Oblong(w, h), 1) => Self::Oblong(h, w),
            _ => self,
        }
    }

    /// Half the width and half the height.
    pub const fn halves(self) -> (i64, i64) {
        match self {
            Self::Disc(d) => (d / 2, d / 2),
            Self::Rect(w, h) | Self::Oblong(w, h) => (w / 2, h / 2),
        }
    }
}

/// A step of a contour.
#[derive(Clone, Copy, Debug)]
pub enum Step {
    Line(Point),
    /// Counter-clockwise round a centre.
    Arc {
        to: Point,
        centre: Point,
    },
}

/// A closed contour.
#[derive(Clone, Debug)]
pub struct Ring {
    pub start: Point,
    pub steps: Vec<Step>,
}

impl Ring {
    /// A rectangle with rounded corners, counter-clockwise.
    pub fn rounded(low: Point, high: Point, r: i64) -> Self {
        let arc = |to, centre| Step::Arc { to, centre };
        Self {
            start: at(low.x + r, low.y),
            steps: vec![
                Step::Line(at(high.x - r, low.y)),
                arc(at(high.x, low.y + r), at(high.x - r, low.y + r)),
                Step::Line(at(high.x, high.y - r)),
                arc(at(high.x - r, high.y), at(high.x - r, high.y - r)),
                Step::Line(at(low.x + r, high.y)),
                arc(at(low.x, high.y - r), at(low.x + r, high.y - r)),
                Step::Line(at(low.x, low.y + r)),
                arc(at(low.x + r, low.y), at(low.x + r, low.y + r)),
            ],
        }
    }

    /// A lying slot with round ends, between the centres of the ends.
    pub fn slot(from: Point, to: Point, r: i64) -> Self {
        let (top, bottom) = (at(to.x, to.y + r), at(from.x, from.y - r));
        Self {
            start: bottom,
            steps: vec![
                Step::Line(at(to.x, to.y - r)),
                Step::Arc { to: top, centre: to },
                Step::Line(at(from.x, from.y + r)),
                Step::Arc { to: bottom, centre: from },
            ],
        }
    }
}

/// What is drawn.
#[derive(Clone, Debug)]
pub enum What {
    Flash(Point, Form),
    Draw(Point, Point, i64),
    Area(Ring),
}

/// Something drawn on a layer, with what it is for.
#[derive(Clone, Debug)]
pub struct Item {
    pub what: What,
    pub clear: bool,
    pub function: &'static str,
    pub net: Option<String>,
    pub pin: Option<(String, String)>,
}

impl Item {
    pub const fn dark(what: What, function: &'static str) -> Self {
        Self { what, clear: false, function, net: None, pin: None }
    }

    pub const fn cleared(what: What) -> Self {
        Self { what, clear: true, function: "", net: None, pin: None }
    }

    pub fn of(mut self, net: &str) -> Self {
        self.net = Some(net.into());
        self
    }
}

/// A hole, or a slot where its ends differ.
#[derive(Clone, Debug)]
pub struct Hole {
    pub from: Point,
    pub to: Point,
    pub size: i64,
    pub plated: bool,
    pub function: &'static str,
    pub net: String,
}

/// Where a land stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Top,
    Bottom,
    Through,
}

/// A land of a part, with the net it belongs to.
#[derive(Clone, Debug)]
pub struct Pin {
    pub part: String,
    pub name: String,
    pub net: String,
    pub at: Point,
    pub form: Form,
    pub side: Side,
    pub function: &'static str,
    /// Size of its hole and half the slot's reach along x and y.
    pub hole: Option<(i64, i64, i64)>,
}

/// A track.
#[derive(Clone, Debug)]
pub struct Track {
    /// 0 top, 1 bottom.
    pub layer: usize,
    pub from: Point,
    pub to: Point,
    pub width: i64,
    pub net: String,
}

/// A finished board.
#[derive(Clone, Debug, Default)]
pub struct Board {
    pub copper: Vec<Vec<Item>>,
    pub mask: [Vec<Item>; 2],
    pub paste: [Vec<Item>; 2],
    pub legend: [Vec<Item>; 2],
    pub outline: Vec<Ring>,
    pub holes: Vec<Hole>,
}
