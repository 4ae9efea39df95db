//! The tide gauge: two layers, 2.0 by 1.2 inches, sound, in the older dialect.

use super::footprint::Part;
use super::legend::{Legend, Pen};
use super::logger::pin_hole;
use super::model::{Form, Hole, Item, Pin, Point, Side, What, at};
use super::plane::polygon;
use super::route::Router;
use super::route_grid::Plan;
use super::{Written, inch, tide_gauge_parts};

const WIDTH: i64 = 20_000;
const HEIGHT: i64 = 12_000;
const PLAN: Plan = Plan {
    width: WIDTH,
    height: HEIGHT,
    pitch: 125,
    track: 120,
    keep: 190,
    via_land: 420,
    via_hole: 200,
    via_keep: 330,
    hole_room: 200,
    edge: 260,
};

/// Every file of the set.
pub fn files() -> Result<Vec<Written>, String> {
    let parts = tide_gauge_parts::parts();
    let pins: Vec<Pin> = parts.iter().flat_map(Part::pins).collect();
    let mut holes = mechanical();
    holes.extend(pins.iter().filter_map(pin_hole));
    let mut router = Router::new(PLAN, &pins, &holes);
    router.zone(at(6900, 4100), at(8000, 5400));
    router.join_all(&pins, &[])?;
    holes.extend(router.vias.iter().map(|(p, net)| via(*p, net)));
    Ok(written(&parts, &pins, &router, &holes))
}

fn written(parts: &[Part], pins: &[Pin], router: &Router, holes: &[Hole]) -> Vec<Written> {
    let (top, bottom) = (Side::Top, Side::Bottom);
    let file = |name: &str, items: &[Item]| {
        (format!("tide-gauge/tide_gauge.{name}"), inch::layer(&format!("TIDE-GAUGE-{}", name.to_uppercase()), items))
    };
    vec![
        file("gtl", &copper(pins, router, 0, top)),
        file("gbl", &copper(pins, router, 1, bottom)),
        file("gts", &mask(pins, holes, top)),
        file("gbs", &mask(pins, holes, bottom)),
        file("gto", &legend(parts, pins, holes)),
        file("gtp", &paste(pins)),
        file("gko", &outline()),
        ("tide-gauge/tide_gauge-plated.txt".into(), inch::drill(holes, true)),
        ("tide-gauge/tide_gauge-nonplated.txt".into(), inch::drill(holes, false)),
    ]
}

fn via(p: Point, net: &str) -> Hole {
    Hole { from: p, to: p, size: PLAN.via_hole, plated: true, function: "", net: net.into() }
}

fn mechanical() -> Vec<Hole> {
    let hole = |a, b, size| Hole { from: a, to: b, size, plated: false, function: "", net: String::new() };
    let round = [at(1500, 1500), at(18_500, 1500), at(18_500, 10_500)];
    let tie = hole(at(9000, 10_600), at(11_000, 10_600), 500);
    round.iter().map(|p| hole(*p, *p, 1250)).chain([tie]).collect()
}

fn copper(pins: &[Pin], router: &Router, layer: usize, side: Side) -> Vec<Item> {
    let mut items = Vec::new();
    if layer == 0 {
        let area = [at(7100, 4300), at(7800, 4300), at(7800, 5200), at(7100, 5200)];
        items.push(Item::dark(What::Area(polygon(&area)), ""));
    }
    let tracks = router.tracks.iter().filter(|t| t.layer == layer);
    items.extend(tracks.map(|t| Item::dark(What::Draw(t.from, t.to, t.width), "")));
    items.extend(router.vias.iter().map(|(p, _)| Item::dark(What::Flash(*p, Form::Disc(PLAN.via_land)), "")));
    items.extend(on(pins, side).map(|p| Item::dark(What::Flash(p.at, p.form), "")));
    items
}

fn on(pins: &[Pin], side: Side) -> impl Iterator<Item = &Pin> {
    pins.iter().filter(move |p| p.side == side || p.side == Side::Through)
}

fn mask(pins: &[Pin], holes: &[Hole], side: Side) -> Vec<Item> {
    let mut items: Vec<Item> = on(pins, side).map(|p| Item::dark(What::Flash(p.at, p.form.grown(80)), "")).collect();
    for hole in holes.iter().filter(|h| !h.plated) {
        let size = hole.size + 120;
        items.push(if hole.from == hole.to {
            Item::dark(What::Flash(hole.from, Form::Disc(size)), "")
        } else {
            Item::dark(What::Draw(hole.from, hole.to, size), "")
        });
    }
    items
}

fn paste(pins: &[Pin]) -> Vec<Item> {
    pins.iter().filter(|p| p.side == Side::Top).map(|p| Item::dark(What::Flash(p.at, p.form), "")).collect()
}

fn legend(parts: &[Part], pins: &[Pin], holes: &[Hole]) -> Vec<Item> {
    let bare: Vec<(Point, i64)> = holes.iter().map(|h| (h.from, h.size)).collect();
    let mut legend = Legend::new(Pen { stroke: 70, unit: 75, keep: 140 }, Side::Top, pins, &bare);
    legend.text(at(4500, 700), "TARN ROW TIDE GAUGE 3");
    for part in parts {
        legend.part(part);
    }
    legend.items
}

fn outline() -> Vec<Item> {
    let corners = [at(0, 0), at(WIDTH, 0), at(WIDTH, HEIGHT), at(0, HEIGHT), at(0, 0)];
    corners.windows(2).map(|pair| Item::dark(What::Draw(pair[0], pair[1], 100), "")).collect()
}
