//! The router's grid: which points a track or a via of one net may use.

use super::model::{Form, Point, Side, at};

/// What the router keeps to, in the unit of the board.
#[derive(Clone, Copy, Debug)]
pub struct Plan {
    pub width: i64,
    pub height: i64,
    /// Grid pitch.
    pub pitch: i64,
    pub track: i64,
    /// Least distance of a track's axis from foreign copper; leaves room for diagonals.
    pub keep: i64,
    pub via_land: i64,
    pub via_hole: i64,
    /// Least distance of a via's centre from foreign copper.
    pub via_keep: i64,
    /// Added to half the hole's size: the room a hole takes on a plane.
    pub hole_room: i64,
    /// Copper kept clear of the edge, to the track's axis.
    pub edge: i64,
}

/// Copper, a hole or a zone in the router's way.
#[derive(Clone, Debug)]
pub struct Obstacle {
    /// A capsule's axis, or opposite corners of a rectangle where `radius` is `None`.
    pub a: Point,
    pub b: Point,
    pub radius: Option<i64>,
    /// Whether it stands on the top and on the bottom.
    pub on: [bool; 2],
    pub net: String,
    pub kind: Kind,
}

/// What an obstacle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Copper of a track or via.
    Copper,
    /// A land a part is soldered to: no via may stand in it.
    Land,
    /// A hole with the room it takes on planes; only vias mind.
    Hole,
    /// Kept free of everything.
    Zone,
}

impl Obstacle {
    pub fn land(centre: Point, form: Form, side: Side, net: &str) -> Self {
        let on = [side != Side::Bottom, side != Side::Top];
        let (hw, hh) = form.halves();
        let (a, b, radius) = match form {
            Form::Disc(d) => (centre, centre, Some(d / 2)),
            Form::Rect(..) => (centre.plus(-hw, -hh), centre.plus(hw, hh), None),
            Form::Oblong(..) => {
                let r = hw.min(hh);
                (centre.plus(r - hw, r - hh), centre.plus(hw - r, hh - r), Some(r))
            }
        };
        Self { a, b, radius, on, net: net.into(), kind: Kind::Land }
    }

    /// Whether a point lies nearer than `keep` to it.
    pub fn near(&self, p: Point, keep: i64) -> bool {
        match self.radius {
            Some(r) => near_segment(p, self.a, self.b, r + keep),
            None => {
                let dx = (self.a.x - p.x).max(p.x - self.b.x).max(0);
                let dy = (self.a.y - p.y).max(p.y - self.b.y).max(0);
                dx * dx + dy * dy < keep * keep
            }
        }
    }

    /// Whether a point lies at least `depth` inside it.
    pub fn holds(&self, p: Point, depth: i64) -> bool {
        match self.radius {
            Some(r) => r >= depth && near_segment(p, self.a, self.b, r - depth + 1),
            None => {
                let x = (p.x - self.a.x).min(self.b.x - p.x);
                x.min(p.y - self.a.y).min(self.b.y - p.y) >= depth
            }
        }
    }
}

fn near_segment(p: Point, a: Point, b: Point, keep: i64) -> bool {
    let (dx, dy, px, py) = (b.x - a.x, b.y - a.y, p.x - a.x, p.y - a.y);
    let (dot, length) = (dx * px + dy * py, dx * dx + dy * dy);
    if length > 0 && dot > 0 && dot < length {
        let cross = i128::from(dx * py - dy * px);
        return cross * cross < i128::from(keep * keep) * i128::from(length);
    }
    let end = if dot <= 0 { a } else { b };
    let (ex, ey) = (p.x - end.x, p.y - end.y);
    ex * ex + ey * ey < keep * keep
}

/// Points closed to the tracks and vias of one net.
pub struct Grid {
    pub columns: usize,
    pub rows: usize,
    pitch: i64,
    pub track: [Vec<bool>; 2],
    pub via: Vec<bool>,
}

impl Grid {
    pub fn new(plan: &Plan, obstacles: &[Obstacle], net: &str) -> Self {
        let columns = usize::try_from(plan.width / plan.pitch + 1).unwrap_or(0);
        let rows = usize::try_from(plan.height / plan.pitch + 1).unwrap_or(0);
        let cells = vec![false; columns * rows];
        let mut grid = Self { columns, rows, pitch: plan.pitch, track: [cells.clone(), cells.clone()], via: cells };
        grid.close_edge(plan);
        for obstacle in obstacles {
            grid.close(plan, obstacle, net);
        }
        grid
    }

    pub fn point(&self, cell: usize) -> Point {
        let (column, row) = (cell % self.columns, cell / self.columns);
        at(column as i64 * self.pitch, row as i64 * self.pitch)
    }

    fn close_edge(&mut self, plan: &Plan) {
        for cell in 0..self.via.len() {
            let p = self.point(cell);
            let edge = p.x.min(p.y).min(plan.width - p.x).min(plan.height - p.y);
            let closed = edge < plan.edge;
            (self.track[0][cell], self.track[1][cell]) = (closed, closed);
            self.via[cell] = edge < plan.edge + plan.via_land;
        }
    }

    fn close(&mut self, plan: &Plan, o: &Obstacle, net: &str) {
        let foreign = o.net != net || o.kind == Kind::Zone || o.net == "N/C";
        let via_keep = match o.kind {
            Kind::Hole => Some(plan.via_hole / 2 + plan.hole_room + plan.pitch),
            Kind::Land => Some(plan.via_keep),
            _ if foreign => Some(plan.via_keep),
            _ => None,
        };
        if let Some(keep) = via_keep {
            self.each(o, keep, |grid, cell| grid.via[cell] = true);
        }
        if !foreign || o.kind == Kind::Hole {
            return;
        }
        for layer in 0..2 {
            if o.on[layer] {
                self.each(o, plan.keep, |grid, cell| grid.track[layer][cell] = true);
            }
        }
    }

    fn each(&mut self, o: &Obstacle, keep: i64, mut act: impl FnMut(&mut Self, usize)) {
        for cell in self.window(o, keep) {
            if o.near(self.point(cell), keep) {
                act(self, cell);
            }
        }
    }

    /// Cells of the rectangle round an obstacle.
    pub fn window(&self, o: &Obstacle, keep: i64) -> Vec<usize> {
        let reach = keep + o.radius.unwrap_or(0);
        let span = |low: i64, high: i64, count: usize| {
            let last = count as i64 - 1;
            let index = |v: i64| usize::try_from(v.div_euclid(self.pitch).clamp(0, last)).unwrap_or(0);
            index(low - reach)..=index(high + reach + self.pitch)
        };
        let rows = span(o.a.y.min(o.b.y), o.a.y.max(o.b.y), self.rows);
        let columns = span(o.a.x.min(o.b.x), o.a.x.max(o.b.x), self.columns);
        rows.flat_map(|row| columns.clone().map(move |column| (row, column)))
            .map(|(row, column)| row * self.columns + column)
            .collect()
    }
}
