//! Lands taken away and bridges drawn in on the real sets with netlists: each is found, and at its place.
//!
//! The netlists are those of the layout programs. A land is taken away by turning its flash into a move; a bridge is a
//! stroke added at the end of the file. Many are put in at once, spread over the board, since each is looked for by its
//! own place. A twelfth of them is tried; every one on the sets that LANDGAP_ALL_FAULTS names, with commas between.

mod support;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use landgap_parser::netlist::{Access, PointKind};
use landgap_parser::{Nm, Point};
use landgap_rules::check::{InputFile, Measured, Told, measure};
use landgap_rules::geometry::LayerImage;
use landgap_rules::geometry::edges::EdgeIndex;
use landgap_rules::netlist::Comparison;
use support::{checking_data, folder};

const SETS: [&str; 4] = ["board-009", "board-012", "board-031", "board-036"];
/// One in so many is tried in one run.
const SHARE: usize = 12;
/// Lands farther apart are not bridged.
const NEAR: f64 = 1_500_000.0;
/// The width of a bridge.
const WIDTH: Nm = 100_000;

fn run(files: &[InputFile]) -> Measured {
    measure(files, &Told::new(), &landgap_parser::Limits::default(), &|_| {})
}

fn netlist(measured: &Measured) -> &Comparison {
    let found = measured.facts.electrical.comparisons.iter().find(|c| c.from_netlist);
    found.unwrap_or_else(|| panic!("no comparison: {:?}", measured.facts.electrical.refused))
}

/// How a file writes its coordinates.
struct Format {
    decimals: u32,
    /// Nanometres in its unit.
    unit: i64,
}

impl Format {
    fn of(text: &str) -> Self {
        let at = text.find("%FSLAX").expect("leading zeros left out, absolute") + "%FSLAX".len();
        let decimals = text[at + 1..=at + 1].parse().expect("decimals");
        Self { decimals, unit: if text.contains("MOIN") { 25_400_000 } else { 1_000_000 } }
    }

    fn nm(&self, digits: i64) -> Nm {
        let step = 10i64.pow(self.decimals);
        (digits * self.unit + step / 2).div_euclid(step)
    }

    fn digits(&self, nm: Nm) -> i64 {
        let step = 10i64.pow(self.decimals);
        (nm * step + self.unit / 2).div_euclid(self.unit)
    }
}

/// Every flash of a file: where its `D03` stands in the text, and its place. Coordinates left out keep their value.
fn flashes(text: &str) -> Vec<(usize, Point)> {
    let format = Format::of(text);
    let (mut x, mut y, mut offset, mut out) = (0, 0, 0, Vec::new());
    for command in text.split_inclusive('*') {
        let body = command.trim();
        let mut at = 0;
        while let Some((letter, number, next)) = word(body, at) {
            match letter {
                'X' => x = number,
                'Y' => y = number,
                'D' if number == 3 => {
                    let start = offset + command.len() - command.trim_start().len() + at;
                    out.push((start, Point::new(format.nm(x), format.nm(y))));
                }
                _ => {}
            }
            at = next;
        }
        offset += command.len();
    }
    out
}

/// The word that stands at a place: a letter of a coordinate or operation with its number.
fn word(body: &str, at: usize) -> Option<(char, i64, usize)> {
    let letter = body[at..].chars().next().filter(|c| "XYIJDG".contains(*c))?;
    let rest = &body[at + 1..];
    let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '-' || c == '+')).unwrap_or(rest.len());
    Some((letter, rest[..end].trim_start_matches('+').parse().ok()?, at + 1 + end))
}

/// A land of the netlist on an outer layer.
struct Land {
    net: String,
    at: Point,
    size: (Nm, Nm),
    degrees: f64,
    layer: usize,
}

fn lands(measured: &Measured) -> Vec<Land> {
    let last = measured.board.copper.len() - 1;
    let mut out = Vec::new();
    for point in measured.board.netlists.iter().flat_map(|(_, n)| &n.points) {
        let Some(net) = point.net.clone().filter(|n| n != "N/C" && !n.is_empty()) else { continue };
        let layers: &[usize] = match (point.kind, point.side) {
            (PointKind::Surface, Access::Layer(1)) => &[0],
            (PointKind::Surface, Access::Layer(_)) => &[last],
            (PointKind::ThroughHole, Access::Both) if point.holes.iter().all(|h| h.plated == Some(true)) => &[0, last],
            _ => continue,
        };
        let round = if point.size_y > 0 { point.size_y } else { point.size_x };
        if point.size_x > 0 {
            let degrees = f64::from(point.rotation_deg.unwrap_or(0));
            let land = |layer: &usize| Land {
                net: net.clone(),
                at: point.at,
                size: (point.size_x, round),
                degrees,
                layer: *layer,
            };
            out.extend(layers.iter().map(land));
        }
    }
    out
}

/// The file of a copper layer, by index into the files.
fn file_of(measured: &Measured, files: &[InputFile], layer: usize) -> usize {
    let path = &measured.board.files[measured.board.copper[layer].file as usize].path;
    files.iter().position(|f| f.path == *path).expect("the layer's file")
}

fn text(file: &InputFile) -> String {
    file.bytes.iter().map(|b| *b as char).collect()
}

fn bytes(text: &str) -> Vec<u8> {
    text.chars().map(|c| c as u8).collect()
}

/// Whether at least half of a stated land still lies in copper: then other copper covers it and nothing is missing.
fn is_covered(land: &Land, image: &LayerImage, index: &EdgeIndex) -> bool {
    let (sin, cos) = land.degrees.to_radians().sin_cos();
    let step = |i: i64, size: Nm| (i as f64 / 10.0) * size as f64;
    let places = (-4..=4).flat_map(|i| (-4..=4).map(move |j| (step(i, land.size.0), step(j, land.size.1))));
    let held = places.filter(|(u, v)| {
        let p =
            Point::new(land.at.x + (u * cos - v * sin).round() as Nm, land.at.y + (u * sin + v * cos).round() as Nm);
        index.island_at(p).is_some_and(|i| (i as usize) < image.islands.len())
    });
    held.count() * 2 >= 81
}

/// One round, or all of them for the sets that LANDGAP_ALL_FAULTS names.
fn rounds(set: &str) -> usize {
    let all = std::env::var("LANDGAP_ALL_FAULTS").is_ok_and(|sets| sets.split(',').any(|s| s == set));
    if all { SHARE } else { 1 }
}

#[test]
fn every_land_taken_away_is_found_at_its_place() {
    let Some(root) = checking_data("boards") else { return };
    for set in SETS {
        let files = folder(&root.join(set));
        let sound = run(&files);
        let lands = lands(&sound);
        let (mut taken, mut covered, mut unfound) = (0, 0, Vec::new());
        for start in 0..rounds(set) {
            let mut broken = files.clone();
            let mut gone: Vec<&Land> = Vec::new();
            for layer in [0, sound.board.copper.len() - 1] {
                let file = file_of(&sound, &files, layer);
                let source = text(&files[file]);
                let near: BTreeMap<Point, &Land> =
                    lands.iter().filter(|l| l.layer == layer).map(|l| (snapped(l.at), l)).collect();
                let mut changed = source.clone().into_bytes();
                assert_eq!(changed.len(), source.chars().count(), "{set}: plain text expected");
                let meant = flashes(&source).into_iter().filter_map(|(at, p)| Some((at, land_at(&near, p)?)));
                for (offset, land) in meant.skip(start).step_by(SHARE) {
                    assert_eq!(&source[offset..=offset], "D");
                    let digit = source[offset..].find('3').expect("D03") + offset;
                    changed[digit] = b'2';
                    gone.push(land);
                }
                broken[file].bytes = bytes(&String::from_utf8(changed).expect("plain text"));
            }
            let measured = run(&broken);
            let found = netlist(&measured);
            let index: Vec<EdgeIndex> = measured.geometry.copper.iter().map(|l| EdgeIndex::new(&l.islands)).collect();
            for land in gone {
                taken += 1;
                let is_it = |l: &&landgap_rules::netlist::Lost| l.at.distance(land.at) < 60_000.0;
                if found.lost.iter().any(|l| is_it(&l)) {
                    continue;
                }
                if is_covered(land, &measured.geometry.copper[land.layer], &index[land.layer]) {
                    covered += 1;
                } else {
                    unfound.push((land.net.clone(), land.at, land.layer));
                }
            }
            assert!(found.shorts.len() <= netlist(&sound).shorts.len(), "{set}: {:?}", found.shorts);
        }
        println!("{set}: {taken} lands taken away, {covered} of them still covered by other copper");
        assert!(unfound.is_empty(), "{set}: {} of {taken} not found: {unfound:?}", unfound.len());
        assert!(taken >= 20 && covered * 2 < taken, "{set}: {taken} taken, {covered} covered");
    }
}

/// A netlist's step is coarser than the artwork's.
fn snapped(p: Point) -> Point {
    Point::new(p.x.div_euclid(100_000), p.y.div_euclid(100_000))
}

fn land_at<'a>(near: &BTreeMap<Point, &'a Land>, p: Point) -> Option<&'a Land> {
    let cell = snapped(p);
    let cells = (-1..=1).flat_map(|x| (-1..=1).map(move |y| Point::new(cell.x + x, cell.y + y)));
    cells.filter_map(|c| near.get(&c)).find(|l| l.at.distance(p) <= 5_000.0).copied()
}

/// Each land with the nearest land of another net on its layer.
fn pairs(lands: &[Land]) -> Vec<(&Land, &Land)> {
    let nearest = |a: &&Land| {
        let others = lands.iter().filter(|b| b.layer == a.layer && b.net != a.net && b.at != a.at);
        others.min_by(|b, c| a.at.distance(b.at).total_cmp(&a.at.distance(c.at)))
    };
    let mut seen = BTreeSet::new();
    let of = |a| {
        let b = nearest(&a).filter(|b| a.at.distance(b.at) <= NEAR)?;
        seen.insert((a.layer, a.at.min(b.at), a.at.max(b.at))).then_some((a, b))
    };
    lands.iter().filter_map(of).collect()
}

#[test]
fn every_bridge_between_two_lands_is_found_and_placed() {
    let Some(root) = checking_data("boards") else { return };
    for set in SETS {
        let files = folder(&root.join(set));
        let sound = run(&files);
        let lands = lands(&sound);
        let pairs = pairs(&lands);
        let (mut drawn, mut placed, mut wrong) = (0, 0, Vec::new());
        for start in 0..rounds(set) {
            let chosen: Vec<_> = pairs.iter().skip(start).step_by(SHARE).collect();
            let mut broken = files.clone();
            for layer in [0, sound.board.copper.len() - 1] {
                let file = file_of(&sound, &files, layer);
                let source = text(&files[file]);
                let format = Format::of(&source);
                let width = WIDTH as f64 / format.unit as f64;
                let mut strokes = format!("%LPD*%\nG01*\n%ADD98765C,{width:.6}*%\nD98765*\n");
                for (a, b) in chosen.iter().filter(|(a, _)| a.layer == layer) {
                    let d = |v: Nm| format.digits(v);
                    let (ax, ay, bx, by) = (d(a.at.x), d(a.at.y), d(b.at.x), d(b.at.y));
                    writeln!(strokes, "X{ax}Y{ay}D02*\nX{bx}Y{by}D01*").expect("text");
                }
                let end = source.rfind("M02").expect("an end");
                broken[file].bytes = bytes(&format!("{}{strokes}{}", &source[..end], &source[end..]));
            }
            let measured = run(&broken);
            let shorts = &netlist(&measured).shorts;
            for (a, b) in chosen {
                drawn += 1;
                let joined = |names: &[String]| {
                    let has = |net: &String| names.iter().any(|n| n.to_uppercase() == *net.to_uppercase());
                    has(&a.net) && has(&b.net)
                };
                let Some(short) = shorts.iter().find(|s| joined(&s.names)) else {
                    wrong.push(format!("{} to {} at {:?} is not found", a.net, b.net, a.at));
                    continue;
                };
                if short.names.len() == 2 {
                    placed += 1;
                    let off = short.spot.at.distance(a.at).min(short.spot.at.distance(b.at));
                    if off > a.at.distance(b.at) {
                        wrong.push(format!("{} to {}: {short:?} lies {off} nm from either land", a.net, b.net));
                    }
                }
            }
        }
        println!("{set}: {drawn} bridges, {placed} of them alone between their two nets");
        assert!(wrong.is_empty(), "{set}: {} of {drawn}: {wrong:#?}", wrong.len());
        assert!(drawn >= 10 && placed > 0, "{set}: {drawn} drawn, {placed} placed");
    }
}
