//! Plane layers: one area of copper, cleared round holes of other nets, with spokes to its own component holes.

use super::model::{Form, Hole, Item, Point, Ring, Step, What, at};

/// Copper kept clear of a hole's wall at finished size.
pub const ROOM: i64 = 500;
const SPOKE: i64 = 350;
const LAND: i64 = 300;
/// Between a component hole's land and its own plane.
const RELIEF: i64 = 300;

/// Draws a plane of one net. `edge` is the pull-back from the edge, `cutouts` are slots in the outline.
pub fn plane(net: &str, area: Ring, cutouts: &[(Point, Point, i64)], holes: &[Hole]) -> Vec<Item> {
    let mut items = vec![Item::dark(What::Area(area), "Conductor").of(net)];
    for (a, b, width) in cutouts {
        items.push(Item::cleared(What::Draw(*a, *b, *width)));
    }
    for hole in holes {
        if hole.net != net {
            items.push(clearance(hole, ROOM));
        } else if hole.function != "ViaDrill" {
            items.push(clearance(hole, RELIEF + LAND));
        }
    }
    for hole in holes.iter().filter(|h| h.net == net) {
        connect(&mut items, hole, net);
    }
    items
}

/// The clear form round a hole.
pub fn clearance(hole: &Hole, room: i64) -> Item {
    let size = hole.size + 2 * room;
    if hole.from == hole.to {
        Item::cleared(What::Flash(hole.from, Form::Disc(size)))
    } else {
        Item::cleared(What::Draw(hole.from, hole.to, size))
    }
}

fn connect(items: &mut Vec<Item>, hole: &Hole, net: &str) {
    if hole.function == "ViaDrill" {
        items.push(Item::dark(What::Flash(hole.from, Form::Disc(700)), "ViaPad").of(net));
        return;
    }
    let (x, y) = ((hole.to.x - hole.from.x).abs() / 2, (hole.to.y - hole.from.y).abs() / 2);
    let centre = at(hole.from.x.midpoint(hole.to.x), hole.from.y.midpoint(hole.to.y));
    let size = hole.size + 2 * LAND;
    let form = if x + y == 0 { Form::Disc(size) } else { Form::Oblong(size + 2 * x, size + 2 * y) };
    items.push(Item::dark(What::Flash(centre, form), "ThermalReliefPad").of(net));
    let reach = hole.size / 2 + LAND + RELIEF + 100;
    for (dx, dy) in [(reach + x, 0), (0, reach + y), (-reach - x, 0), (0, -reach - y)] {
        items.push(Item::dark(What::Draw(centre, centre.plus(dx, dy), SPOKE), "Conductor").of(net));
    }
}

/// A closed polygon.
pub fn polygon(points: &[Point]) -> Ring {
    let steps = points[1..].iter().chain(&points[..1]).map(|p| Step::Line(*p)).collect();
    Ring { start: points[0], steps }
}
