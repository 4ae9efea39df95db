//! Points with a net's name, whatever states them.

use std::collections::BTreeMap;

use landgap_parser::netlist::{Access, Netlist, PointKind, TestPoint};
use landgap_parser::{Nm, Object, Point, Polarity, Shape};

use crate::board::{Board, Source};

/// Points are matched to copper within this, or within half their size where that is more.
const LEAST_REACH: Nm = 50_000;

/// Names longer than this were cut in the older edition of the netlist (columns 4 to 17).
const CUT_NAME: usize = 14;

/// Points with their names.
#[derive(Default)]
pub(super) struct Points {
    pub names: Vec<String>,
    pub list: Vec<Stated>,
    /// Pairs of names the data say are joined on purpose.
    pub ties: Vec<(u32, u32)>,
}

/// A land as it is stated, before rotation.
#[derive(Clone, Copy, Debug)]
pub(super) struct StatedLand {
    pub size: (Nm, Nm),
    pub degrees: f64,
    /// Whether it is stated for the top and for the bottom.
    pub sides: (bool, bool),
}

/// One point.
pub(super) struct Stated {
    /// Index into the names; `None` for a point that is stated to be joined to nothing.
    pub name: Option<u32>,
    pub at: Point,
    /// The land that is stated to be there, where its size is given.
    pub land: Option<StatedLand>,
    /// First and last copper layer on which to look for it, from 1.
    pub layers: (u32, u32),
    /// Whether a plated hole stands there.
    pub through: bool,
    /// Whether copper must be there.
    pub must_land: bool,
    /// The hole that is stated to be there.
    pub hole: Option<landgap_parser::netlist::Hole>,
    /// Half its least extent.
    pub reach: Nm,
    /// Component and pin.
    pub pin: String,
    pub source: Source,
}

/// Names as numbers; names that differ in case alone, or were cut, are one.
#[derive(Default)]
struct Names {
    list: Vec<String>,
    known: BTreeMap<String, u32>,
}

impl Names {
    fn number(&mut self, name: &str) -> u32 {
        let folded = name.to_uppercase();
        let next = self.list.len() as u32;
        let number = *self.known.entry(folded).or_insert(next);
        if number == next {
            self.list.push(name.to_owned());
        }
        number
    }

    /// A name of the full cut length that begins exactly one longer name stands for that name.
    fn joined(&self) -> Vec<u32> {
        let folded: Vec<(&String, u32)> = self.known.iter().map(|(n, i)| (n, *i)).collect();
        let mut stands_for: Vec<u32> = (0..self.list.len() as u32).collect();
        for (at, (name, number)) in folded.iter().enumerate().filter(|(_, (n, _))| n.len() == CUT_NAME) {
            let longer: Vec<u32> = folded[at + 1..]
                .iter()
                .take_while(|(n, _)| n.starts_with(name.as_str()))
                .map(|(_, i)| *i)
                .take(2)
                .collect();
            if let [one] = longer[..] {
                stands_for[*number as usize] = one;
            }
        }
        stands_for
    }
}

fn is_no_name(name: &str) -> bool {
    matches!(name.to_ascii_uppercase().as_str(), "" | "N/C" | "NC" | "NO_NET" | "NONET" | "NO-NET")
}

/// The points of a netlist on a board of so many copper layers.
pub(super) fn of_netlist(netlist: &Netlist, file: u32, layers: u32) -> Points {
    let mut names = Names::default();
    let mut list = Vec::new();
    for point in &netlist.points {
        let net = point.net.as_deref().unwrap_or_default();
        if matches!(point.kind, PointKind::Tooling | PointKind::TestLocation) {
            continue;
        }
        let name = (!is_no_name(net)).then(|| names.number(net));
        list.extend(of_record(point, name, file, layers));
    }
    let stands_for = names.joined();
    list.iter_mut().for_each(|p| p.name = p.name.map(|n| stands_for[n as usize]));
    let ties = ties(&list);
    Points { names: names.list, list, ties }
}

/// One pin of one part that is listed under two names ties them on purpose.
fn ties(list: &[Stated]) -> Vec<(u32, u32)> {
    let mut pins: BTreeMap<(&str, Point), u32> = BTreeMap::new();
    let mut out = Vec::new();
    for point in list.iter().filter(|p| p.pin.contains(" pin ")) {
        let Some(name) = point.name else { continue };
        let first = *pins.entry((&point.pin, point.at)).or_insert(name);
        if first != name {
            out.push((first, name));
        }
    }
    out
}

/// A record's own place, its further holes and its further lands.
fn of_record(point: &TestPoint, name: Option<u32>, file: u32, layers: u32) -> Vec<Stated> {
    let least = if point.size_y > 0 { point.size_x.min(point.size_y) } else { point.size_x };
    let through = !point.holes.is_empty() || point.kind == PointKind::BlindVia;
    let unplated = point.holes.first().is_some_and(|h| h.plated == Some(false));
    let span = match (through, point.span, point.side) {
        (true, Some((a, b)), _) => (a.min(b).max(1), a.max(b).min(layers)),
        (true, None, _) | (false, _, Access::Both | Access::Unstated) => (1, layers),
        (false, _, Access::Layer(1)) => (1, 1),
        (false, _, Access::Layer(_)) => (layers, layers),
    };
    let pin = match (&point.component, &point.pin) {
        (Some(component), Some(pin)) => format!("{component} pin {pin}"),
        (Some(component), None) => component.clone(),
        _ if point.via => "via".to_owned(),
        _ => String::new(),
    };
    let land = (least > 0 && !unplated).then(|| StatedLand {
        size: (point.size_x, if point.size_y > 0 { point.size_y } else { point.size_x }),
        degrees: f64::from(point.rotation_deg.unwrap_or(0)),
        sides: match point.side {
            Access::Both | Access::Unstated => (through, through),
            Access::Layer(1) => (true, false),
            Access::Layer(_) => (false, true),
        },
    });
    let at = |at: Point, line: u32, through: bool| Stated {
        land: land.filter(|_| at == point.at),
        hole: point.holes.iter().find(|h| h.at == at).copied(),
        name,
        at,
        layers: span,
        through: through && !unplated,
        must_land: !unplated,
        reach: (least / 2).max(LEAST_REACH),
        pin: pin.clone(),
        source: Source { file, line },
    };
    let mut out = vec![at(point.at, point.line, through)];
    out.extend(point.holes.iter().filter(|h| h.at != point.at).map(|h| at(h.at, h.line, h.plated != Some(false))));
    out.extend(point.lands.iter().map(|l| at(l.at, l.line, false)));
    out
}

/// What the copper's own net attributes say, at every flash and at the start of every draw.
pub(super) fn of_attributes(board: &Board) -> Points {
    let mut names = Names::default();
    let mut out = Points::default();
    for layer in &board.copper {
        let Some(Some(image)) = board.images.get(layer.file as usize) else { continue };
        for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
            let Some(stated) = image.attribute(object, ".N") else { continue };
            let numbers: Vec<u32> = stated.iter().filter(|n| !is_no_name(n)).map(|n| names.number(n)).collect();
            if let [first, rest @ ..] = &numbers[..] {
                out.ties.extend(rest.iter().map(|other| (*first, *other)));
                let pin = image.attribute(object, ".P").unwrap_or_default();
                let source = Source { file: layer.file, line: object.line };
                out.list.extend(on_copper(object, Some(*first), layer.number, pin, source));
            }
        }
    }
    out.names = names.list;
    out
}

fn on_copper(object: &Object, name: Option<u32>, layer: u32, pin: &[String], source: Source) -> Option<Stated> {
    let at = match &object.shape {
        Shape::Flash { at, .. } => *at,
        Shape::Draw { from, .. } => *from,
        Shape::Arc { .. } | Shape::Region { .. } => return None,
    };
    let pin = match pin {
        [component, pin, ..] => format!("{component} pin {pin}"),
        _ => String::new(),
    };
    Some(Stated {
        land: None,
        hole: None,
        name,
        at,
        layers: (layer, layer),
        through: false,
        must_land: false,
        reach: LEAST_REACH,
        pin,
        source,
    })
}
