//! A small maze router: joins the lands of each net on the two outer layers, cheapest way first.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::model::{Form, Hole, Pin, Point, Side, Track};
use super::route_grid::{Grid, Kind, Obstacle, Plan};

/// Tracks and vias laid so far, with everything in their way.
pub struct Router {
    pub plan: Plan,
    pub obstacles: Vec<Obstacle>,
    pub tracks: Vec<Track>,
    pub vias: Vec<(Point, String)>,
}

const STEPS: [(i64, i64); 8] = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1)];
const VIA_COST: u32 = 120;
const FREE: u8 = 8;
const ATTEMPTS: usize = 60;

struct Search {
    cost: Vec<u32>,
    from: Vec<usize>,
    heading: Vec<u8>,
    heap: BinaryHeap<Reverse<(u32, usize)>>,
}

impl Router {
    pub fn new(plan: Plan, pins: &[Pin], holes: &[Hole]) -> Self {
        let mut router = Self { plan, obstacles: Vec::new(), tracks: Vec::new(), vias: Vec::new() };
        for pin in pins {
            router.obstacles.push(Obstacle::land(pin.at, pin.form, pin.side, &pin.net));
        }
        for hole in holes {
            router.hole(hole.from, hole.to, hole.size, &hole.net);
            if !hole.plated {
                router.zone_round(hole, plan.hole_room);
            }
        }
        router
    }

    fn hole(&mut self, a: Point, b: Point, size: i64, net: &str) {
        let radius = Some(size / 2 + self.plan.hole_room);
        self.obstacles.push(Obstacle { a, b, radius, on: [true; 2], net: net.into(), kind: Kind::Hole });
    }

    fn zone_round(&mut self, hole: &Hole, room: i64) {
        let radius = Some(hole.size / 2 + room);
        let (a, b) = (hole.from, hole.to);
        self.obstacles.push(Obstacle { a, b, radius, on: [true; 2], net: String::new(), kind: Kind::Zone });
    }

    /// Keeps a rectangle free of tracks and vias.
    pub fn zone(&mut self, a: Point, b: Point) {
        self.obstacles.push(Obstacle { a, b, radius: None, on: [true; 2], net: String::new(), kind: Kind::Zone });
    }

    /// Adds a via.
    pub fn via(&mut self, p: Point, net: &str) {
        let mut land = Obstacle::land(p, Form::Disc(self.plan.via_land), Side::Through, net);
        land.kind = Kind::Copper;
        self.obstacles.push(land);
        self.hole(p, p, self.plan.via_hole, net);
        self.vias.push((p, net.into()));
    }

    /// Adds a track.
    pub fn track(&mut self, layer: usize, from: Point, to: Point, width: i64, net: &str) {
        let on = [layer == 0, layer == 1];
        let radius = Some(width / 2);
        self.obstacles.push(Obstacle { a: from, b: to, radius, on, net: net.into(), kind: Kind::Copper });
        self.tracks.push(Track { layer, from, to, width, net: net.into() });
    }

    /// Leads every surface-mounted land of a net to a via of its own, for a plane to take up.
    pub fn fan_out(&mut self, pins: &[Pin], net: &str) -> Result<(), String> {
        for pin in pins.iter().filter(|p| p.net == net && p.hole.is_none()) {
            let grid = Grid::new(&self.plan, &self.obstacles, net);
            let starts = self.cells(&grid, pin);
            let size = grid.via.len();
            let path = search(&grid, &starts, |node| !grid.via[node % size], false)
                .ok_or_else(|| format!("{net}: no room for a via near {} {}", pin.part, pin.name))?;
            self.lay(&grid, &path, net);
            if let Some(last) = path.last() {
                self.via(grid.point(last % size), net);
            }
        }
        Ok(())
    }

    /// Joins every net of the pins given, shortest first; a net that finds no way goes to the front and all begin anew.
    pub fn join_all(&mut self, pins: &[Pin], skip: &[&str]) -> Result<(), String> {
        let mut nets: BTreeMap<&str, Vec<&Pin>> = BTreeMap::new();
        for pin in pins.iter().filter(|p| p.net != "N/C" && !skip.contains(&p.net.as_str())) {
            nets.entry(&pin.net).or_default().push(pin);
        }
        let mut order: Vec<(i64, &str)> = nets.iter().map(|(net, list)| (reach(list), *net)).collect();
        order.sort_unstable();
        let mut order: Vec<&str> = order.into_iter().map(|(_, net)| net).collect();
        let start = self.mark();
        let mut failed = String::new();
        for _ in 0..ATTEMPTS {
            let mut blocked = None;
            for (i, net) in order.iter().enumerate() {
                if let Err(problem) = self.join(&nets[net], net) {
                    (blocked, failed) = (Some(i), problem);
                    break;
                }
            }
            let Some(blocked) = blocked else { return Ok(()) };
            let net = order.remove(blocked);
            order.insert(0, net);
            self.back_to(start);
        }
        Err(failed)
    }

    fn mark(&self) -> [usize; 3] {
        [self.obstacles.len(), self.tracks.len(), self.vias.len()]
    }

    fn back_to(&mut self, mark: [usize; 3]) {
        self.obstacles.truncate(mark[0]);
        self.tracks.truncate(mark[1]);
        self.vias.truncate(mark[2]);
    }

    fn join(&mut self, pins: &[&Pin], net: &str) -> Result<(), String> {
        let grid = Grid::new(&self.plan, &self.obstacles, net);
        let ends: Vec<Vec<usize>> = pins.iter().map(|p| self.cells(&grid, p)).collect();
        let mut joined = ends[0].clone();
        let mut open: Vec<usize> = (1..ends.len()).collect();
        while !open.is_empty() {
            let path = search(&grid, &joined, |node| open.iter().any(|&i| ends[i].contains(&node)), true)
                .ok_or_else(|| format!("{net}: no way to {} {}", pins[open[0]].part, pins[open[0]].name))?;
            self.lay(&grid, &path, net);
            let last = path[path.len() - 1];
            open.retain(|&i| !ends[i].contains(&last));
            joined.extend(&path);
            joined.extend(ends.iter().filter(|cells| cells.contains(&last)).flatten());
        }
        Ok(())
    }

    /// Grid nodes well inside a land, on every layer it stands on.
    fn cells(&self, grid: &Grid, pin: &Pin) -> Vec<usize> {
        let land = Obstacle::land(pin.at, pin.form, pin.side, &pin.net);
        let inside: Vec<usize> = grid
            .window(&land, 0)
            .into_iter()
            .filter(|&cell| land.holds(grid.point(cell), self.plan.track / 2))
            .collect();
        let size = grid.via.len();
        (0..2).filter(|&l| land.on[l]).flat_map(|l| inside.iter().map(move |cell| l * size + cell)).collect()
    }

    fn lay(&mut self, grid: &Grid, path: &[usize], net: &str) {
        let size = grid.via.len();
        let width = self.plan.track;
        let mut start = 0;
        for i in 1..path.len() {
            let (before, here) = (path[i - 1], path[i]);
            if before / size != here / size {
                self.via(grid.point(here % size), net);
                start = i;
            } else if path.get(i + 1).is_none_or(|&next| bends(grid, before, here, next)) {
                self.track(here / size, grid.point(path[start] % size), grid.point(here % size), width, net);
                start = i;
            }
        }
    }
}

fn reach(pins: &[&Pin]) -> i64 {
    let span = |of: fn(&Pin) -> i64| {
        let (low, high) = pins.iter().fold((i64::MAX, i64::MIN), |(l, h), p| (l.min(of(p)), h.max(of(p))));
        high - low
    };
    span(|p| p.at.x) + span(|p| p.at.y)
}

fn bends(grid: &Grid, a: usize, b: usize, c: usize) -> bool {
    let size = grid.via.len();
    if b / size != c / size {
        return true;
    }
    let (a, b, c) = (grid.point(a % size), grid.point(b % size), grid.point(c % size));
    (b.x - a.x, b.y - a.y) != (c.x - b.x, c.y - b.y)
}

fn search(grid: &Grid, starts: &[usize], goal: impl Fn(usize) -> bool, vias: bool) -> Option<Vec<usize>> {
    let size = grid.via.len();
    let mut s = Search {
        cost: vec![u32::MAX; size * 2],
        from: vec![usize::MAX; size * 2],
        heading: vec![FREE; size * 2],
        heap: BinaryHeap::new(),
    };
    for &start in starts {
        s.cost[start] = 0;
        s.heap.push(Reverse((0, start)));
    }
    while let Some(Reverse((cost, node))) = s.heap.pop() {
        if cost > s.cost[node] {
            continue;
        }
        if goal(node) {
            return Some(s.way(node));
        }
        s.spread(grid, node, cost);
        if vias && !grid.via[node % size] && s.heading[node] != FREE {
            s.offer((node + size) % (2 * size), node, cost + VIA_COST, FREE);
        }
    }
    None
}

impl Search {
    fn offer(&mut self, node: usize, from: usize, cost: u32, heading: u8) {
        if cost < self.cost[node] {
            (self.cost[node], self.from[node], self.heading[node]) = (cost, from, heading);
            self.heap.push(Reverse((cost, node)));
        }
    }

    fn spread(&mut self, grid: &Grid, node: usize, cost: u32) {
        let size = grid.via.len();
        let (layer, cell) = (node / size, node % size);
        let (column, row) = ((cell % grid.columns) as i64, (cell / grid.columns) as i64);
        for (heading, (dx, dy)) in (0u8..).zip(STEPS) {
            let turn = turn(self.heading[node], heading);
            let (x, y) = (column + dx, row + dy);
            if turn > 2 || x < 0 || y < 0 || x >= grid.columns as i64 || y >= grid.rows as i64 {
                continue;
            }
            let next = usize::try_from(y).unwrap_or(0) * grid.columns + usize::try_from(x).unwrap_or(0);
            if !grid.track[layer][next] {
                let step = if dx * dy == 0 { 10 } else { 14 };
                self.offer(layer * size + next, node, cost + step + [0, 4, 14][turn], heading);
            }
        }
    }

    fn way(&self, goal: usize) -> Vec<usize> {
        let mut path = vec![goal];
        let mut node = goal;
        while self.from[node] != usize::MAX {
            node = self.from[node];
            path.push(node);
        }
        path.reverse();
        path
    }
}

/// Eighths of a turn between two headings.
fn turn(a: u8, b: u8) -> usize {
    if a == FREE {
        return 0;
    }
    let d = usize::from(a.abs_diff(b));
    d.min(8 - d)
}
