//! The buoy logger: four layers, 70 by 45 mm, sound. Lengths in micrometres, origin at the lower left corner.

use super::footprint::Part;
use super::legend::{Legend, Pen};
use super::model::{Board, Form, Hole, Item, Pin, Point, Ring, Side, What, at};
use super::plane::plane;
use super::route::Router;
use super::route_grid::Plan;
use super::{Written, artwork, drill, logger_parts};

pub const WIDTH: i64 = 70_000;
pub const HEIGHT: i64 = 45_000;
pub const TRACK: i64 = 200;
pub const VIA_LAND: i64 = 700;
pub const VIA_HOLE: i64 = 300;
/// Vias that tie the ground of the outer layers to the plane, in a row.
pub const STITCHES: [Point; 5] =
    [at(20_000, 5000), at(22_000, 5000), at(24_000, 5000), at(26_000, 5000), at(30_000, 5000)];
const FIDUCIALS: [Point; 3] = [at(9500, 41_500), at(60_500, 41_500), at(9500, 10_500)];
const CUTOUT: (Point, Point, i64) = (at(12_000, 5500), at(15_500, 5500), 3000);
const ONCE: [&str; 5] = ["BENCH1", "BENCH2", "BENCH3", "BENCH4", "BENCH5"];

const PLAN: Plan = Plan {
    width: WIDTH,
    height: HEIGHT,
    pitch: 250,
    track: TRACK,
    keep: 350,
    via_land: VIA_LAND,
    via_hole: VIA_HOLE,
    via_keep: 600,
    hole_room: 500,
    edge: 1000,
};

/// The sound board.
pub fn board() -> Result<Board, String> {
    let parts = logger_parts::parts();
    let pins: Vec<Pin> = parts.iter().flat_map(Part::pins).collect();
    let mut holes = mechanical();
    holes.extend(pins.iter().filter_map(pin_hole));
    let router = routed(&pins, &holes)?;
    holes.extend(router.vias.iter().map(|(p, net)| via_hole(*p, net)));
    let mut board = Board { outline: outline(), ..Board::default() };
    board.copper = copper(&pins, &router, &holes);
    board.mask = [mask(&pins, &holes, Side::Top), mask(&pins, &holes, Side::Bottom)];
    board.paste = [paste(&pins, Side::Top), paste(&pins, Side::Bottom)];
    board.legend = [legend(&parts, &pins, &holes, Side::Top), legend(&parts, &pins, &holes, Side::Bottom)];
    board.holes = holes;
    Ok(board)
}

fn outline() -> Vec<Ring> {
    let (from, to, width) = CUTOUT;
    vec![Ring::rounded(at(0, 0), at(WIDTH, HEIGHT), 3000), Ring::slot(from, to, width / 2)]
}

fn mechanical() -> Vec<Hole> {
    let corners = [at(4000, 4000), at(66_000, 4000), at(4000, 41_000), at(66_000, 41_000)];
    let pegs = [at(62_500, 8200), at(62_500, 31_500)];
    let hole = |p: &Point, size| Hole {
        from: *p,
        to: *p,
        size,
        plated: false,
        function: "MechanicalDrill",
        net: String::new(),
    };
    corners.iter().map(|p| hole(p, 3200)).chain(pegs.iter().map(|p| hole(p, 1000))).collect()
}

pub fn pin_hole(pin: &Pin) -> Option<Hole> {
    let (size, x, y) = pin.hole?;
    Some(Hole {
        from: pin.at.plus(-x, -y),
        to: pin.at.plus(x, y),
        size,
        plated: true,
        function: "ComponentDrill",
        net: pin.net.clone(),
    })
}

pub fn via_hole(p: Point, net: &str) -> Hole {
    Hole { from: p, to: p, size: VIA_HOLE, plated: true, function: "ViaDrill", net: net.into() }
}

fn routed(pins: &[Pin], holes: &[Hole]) -> Result<Router, String> {
    let mut router = Router::new(PLAN, pins, holes);
    let (from, to, width) = CUTOUT;
    let reach = width / 2 + 1000;
    router.zone(from.plus(-reach, -reach), to.plus(reach, reach));
    for p in FIDUCIALS {
        router.zone(p.plus(-1500, -1500), p.plus(1500, 1500));
    }
    for p in STITCHES {
        router.via(p, "GND");
    }
    router.zone(at(18_500, 0), at(37_000, 6500));
    bench(&mut router);
    router.zone(at(44_000, 0), at(64_500, 9500));
    router.fan_out(pins, "GND")?;
    router.fan_out(pins, "V33")?;
    let skip: Vec<&str> = ONCE.iter().copied().chain(["GND", "V33"]).collect();
    router.join_all(pins, &skip)?;
    Ok(router)
}

/// Straight tracks between the lands of the bench test.
fn bench(router: &mut Router) {
    let lines = [(0, 5000), (0, 6600), (0, 8200), (1, 5000), (1, 6600)];
    for ((layer, y), net) in lines.into_iter().zip(ONCE) {
        for (a, b) in [(46_000, 51_000), (51_000, 53_000), (53_000, 58_000)] {
            router.track(layer, at(a, y), at(b, y), TRACK, net);
        }
    }
}

fn copper(pins: &[Pin], router: &Router, holes: &[Hole]) -> Vec<Vec<Item>> {
    let inset = 1000;
    let area = || Ring::rounded(at(inset, inset), at(WIDTH - inset, HEIGHT - inset), 2000);
    let cutouts = [(CUTOUT.0, CUTOUT.1, CUTOUT.2 + 2 * inset)];
    vec![
        outer(pins, router, 0, Side::Top),
        plane("GND", area(), &cutouts, holes),
        plane("V33", area(), &cutouts, holes),
        outer(pins, router, 1, Side::Bottom),
    ]
}

fn outer(pins: &[Pin], router: &Router, layer: usize, side: Side) -> Vec<Item> {
    let mut items: Vec<Item> = router
        .tracks
        .iter()
        .filter(|t| t.layer == layer)
        .map(|t| Item::dark(What::Draw(t.from, t.to, t.width), "Conductor").of(&t.net))
        .collect();
    for (p, net) in &router.vias {
        items.push(Item::dark(What::Flash(*p, Form::Disc(VIA_LAND)), "ViaPad").of(net));
    }
    for pin in pins.iter().filter(|p| p.side == side || p.side == Side::Through) {
        let function = if pin.part.starts_with("TP") { "TestPad" } else { pin.function };
        let mut item = Item::dark(What::Flash(pin.at, pin.form), function).of(&pin.net);
        item.pin = Some((pin.part.clone(), pin.name.clone()));
        items.push(item);
    }
    if side == Side::Top {
        items.extend(FIDUCIALS.map(|p| Item::dark(What::Flash(p, Form::Disc(1000)), "FiducialPad,Local")));
    }
    items
}

fn mask(pins: &[Pin], holes: &[Hole], side: Side) -> Vec<Item> {
    let on = pins.iter().filter(|p| p.side == side || p.side == Side::Through);
    let mut items: Vec<Item> = on.map(|p| Item::dark(What::Flash(p.at, p.form.grown(150)), "Material")).collect();
    for hole in holes.iter().filter(|h| !h.plated) {
        items.push(Item::dark(What::Flash(hole.from, Form::Disc(hole.size + 300)), "Material"));
    }
    if side == Side::Top {
        items.extend(FIDUCIALS.map(|p| Item::dark(What::Flash(p, Form::Disc(2000)), "Material")));
    }
    items
}

fn paste(pins: &[Pin], side: Side) -> Vec<Item> {
    let soldered = pins.iter().filter(|p| p.side == side && !p.part.starts_with("TP"));
    soldered.map(|p| Item::dark(What::Flash(p.at, p.form.grown(-50)), "")).collect()
}

fn legend(parts: &[Part], pins: &[Pin], holes: &[Hole], side: Side) -> Vec<Item> {
    let bare: Vec<(Point, i64)> = holes.iter().map(|h| (h.from, h.size)).collect();
    let pen = Pen { stroke: 150, unit: 180, keep: 350 };
    let mut legend = Legend::new(pen, side, pins, &bare);
    if side == Side::Top {
        legend.text(at(19_000, 1900), "TARN ROW");
        legend.text(at(28_500, 1900), "BUOY LOGGER 1.2");
    } else {
        legend.text(at(24_000, 1900), "TARN ROW BUOY LOGGER");
    }
    for part in parts.iter().filter(|p| p.side == side && p.name != "J1T") {
        legend.part(part);
    }
    legend.items
}

/// Every file of the board, below a folder.
pub fn files(board: &Board, folder: &str) -> Vec<Written> {
    let name = |what: &str| format!("{folder}/buoy-logger-{what}");
    let mut out = Vec::new();
    let positions = ["L1,Top,Signal", "L2,Inr,Plane", "L3,Inr,Plane", "L4,Bot,Signal"];
    for (i, (items, position)) in board.copper.iter().zip(positions).enumerate() {
        let text = artwork::layer(&format!("Copper,{position}"), "Positive", items);
        out.push((name(&format!("copper-{}.gbr", i + 1)), text));
    }
    for (i, (side, word)) in [("top", "Top"), ("bottom", "Bot")].into_iter().enumerate() {
        let mask = artwork::layer(&format!("Soldermask,{word}"), "Negative", &board.mask[i]);
        out.push((name(&format!("mask-{side}.gbr")), mask));
        let legend = artwork::layer(&format!("Legend,{word}"), "Positive", &board.legend[i]);
        out.push((name(&format!("legend-{side}.gbr")), legend));
        let paste = artwork::layer(&format!("Paste,{word}"), "Positive", &board.paste[i]);
        out.push((name(&format!("paste-{side}.gbr")), paste));
    }
    out.push((name("outline.gbr"), artwork::outline(&board.outline, 100)));
    out.push((name("plated.xnc"), drill::xnc(&board.holes, true, 4)));
    out.push((name("unplated.xnc"), drill::xnc(&board.holes, false, 4)));
    out
}
