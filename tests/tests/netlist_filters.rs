//! Differences between netlist and copper that are none, and joints that count: each with the fault beside it.
//!
//! The netlists are written here, column by column (IPC-D-356A, record tables); the filters are those of the trade.

#[path = "support/small.rs"]
mod small;

use landgap_rules::board::LayerRef;
use landgap_rules::check::Measured;
use landgap_rules::netlist::Comparison;
use small::{PLACES, artwork, at, copper, drill, files, fill, flashes, run, verdict};

/// One record in units of 0.001 mm. Holes have a size, lands on one side an access code from 1.
struct Record<'a> {
    net: &'a str,
    pin: &'a str,
    hole: Option<(u32, char)>,
    access: u32,
    place: (f64, f64),
    size: u32,
}

impl Record<'_> {
    fn line(&self) -> String {
        let (part, pin) = self.pin.split_once('-').unwrap_or((self.pin, ""));
        let kind = if self.hole.is_some() { "317" } else { "327" };
        let dash = if pin.is_empty() { ' ' } else { '-' };
        let hole = self.hole.map_or_else(|| "      ".to_owned(), |(size, plated)| format!("D{size:04}{plated}"));
        let um = |v: f64| format!("{:+07}", (v * 1000.0).round() as i64);
        format!(
            "{kind}{:<14}   {part:<6}{dash}{pin:<4} {hole}A{:02}X{}Y{}X{:04}Y0000R000S0\n",
            self.net,
            self.access,
            um(self.place.0),
            um(self.place.1),
            self.size
        )
    }
}

fn through<'a>(net: &'a str, place: (f64, f64)) -> Record<'a> {
    Record { net, pin: "", hole: Some((400, 'P')), access: 0, place, size: 1000 }
}

fn surface<'a>(net: &'a str, access: u32, place: (f64, f64)) -> Record<'a> {
    Record { net, pin: "", hole: None, access, place, size: 1000 }
}

const NAMES: [&str; 12] = ["N0", "N1", "N2", "N3", "N4", "N5", "N6", "N7", "N8", "N9", "N10", "N11"];

/// Every hole of the sound board as a net of its own.
fn singles() -> Vec<Record<'static>> {
    NAMES.iter().zip(PLACES).map(|(net, place)| through(net, place)).collect()
}

fn netlist(records: &[Record<'_>]) -> Option<String> {
    let lines: String = records.iter().map(Record::line).collect();
    Some(format!("P  UNITS SI\n{lines}999\n"))
}

fn compared(measured: &Measured) -> &Comparison {
    let found = measured.facts.electrical.comparisons.iter().find(|c| c.from_netlist);
    found.unwrap_or_else(|| panic!("{:?}", measured.facts.electrical.refused))
}

/// Shorts, opens, lost points, unnamed nets.
fn counts(measured: &Measured) -> (usize, usize, usize, usize) {
    let found = compared(measured);
    (found.shorts.len(), found.opens.len(), found.lost.len(), found.unnamed.len())
}

fn said(measured: &Measured) -> Vec<(&'static str, &'static str)> {
    let nets = |q: &&landgap_rules::query::Query| ["short", "open", "no-netlist"].contains(&q.rule);
    verdict(measured).queries.iter().filter(nets).map(|q| (q.rule, q.severity.word())).collect()
}

/// A track on the top from the first place to the fifth.
fn track() -> Option<String> {
    let ((ax, ay), (bx, by)) = (PLACES[0], PLACES[4]);
    copper("Copper,L1,Top", &format!("D10*\n{}{}", at(ax, ay, 2), at(bx, by, 1)))
}

fn renamed(changes: &[(usize, &'static str)]) -> Vec<Record<'static>> {
    let mut records = singles();
    changes.iter().for_each(|(i, net)| records[*i].net = net);
    records
}

#[test]
fn nets_of_a_single_point_are_clean() {
    let measured = run(&files(&[("nets.ipc", netlist(&singles()))]));
    assert_eq!(counts(&measured), (0, 0, 0, 0));
    assert_eq!(said(&measured), []);
}

#[test]
fn points_of_no_net_are_not_compared_with_each_other() {
    let records = renamed(&[(0, "N/C"), (4, "N/C"), (7, "N/C")]);
    assert_eq!(counts(&run(&files(&[("nets.ipc", netlist(&records)), ("top.gbr", track())]))), (0, 0, 0, 0));
    assert_eq!(counts(&run(&files(&[("nets.ipc", netlist(&singles())), ("top.gbr", track())]))), (1, 0, 0, 0));
}

#[test]
fn an_unplated_hole_in_the_netlist_needs_no_copper() {
    let mut records = singles();
    records.push(Record { net: "N/C", pin: "H1", hole: Some((3000, 'U')), access: 0, place: (20.0, 15.0), size: 3000 });
    records.push(Record {
        net: "MOUNT",
        pin: "H2",
        hole: Some((3000, 'U')),
        access: 0,
        place: (24.0, 15.0),
        size: 3000,
    });
    let holes = drill("NonPlated,1,2,NPTH", 3.0, &[(20.0, 15.0), (24.0, 15.0)]);
    let measured = run(&files(&[("nets.ipc", netlist(&records)), ("npth.drl", Some(holes))]));
    assert_eq!(counts(&measured), (0, 0, 0, 0));
}

#[test]
fn names_in_other_letters_are_one() {
    let records = renamed(&[(0, "Data"), (4, "DATA")]);
    assert_eq!(counts(&run(&files(&[("nets.ipc", netlist(&records)), ("top.gbr", track())]))), (0, 0, 0, 0));
}

#[test]
fn points_of_the_bottom_given_as_seen_from_below_are_mirrored_back() {
    let below = [(14.0, 9.0), (19.0, 18.0), (30.0, 11.0), (23.0, 21.0), (11.0, 20.0)];
    let bottom = copper("Copper,L2,Bot", &format!("D11*\n{}", flashes(&below)));
    let names = ["B0", "B1", "B2", "B3", "B4"];
    let given = |turn: bool| -> Vec<Record<'static>> {
        let lands = names.iter().zip(below).map(|(net, (x, y))| surface(net, 2, (if turn { 40.0 - x } else { x }, y)));
        singles().into_iter().chain(lands).collect()
    };
    let measured = run(&files(&[("nets.ipc", netlist(&given(true))), ("bottom.gbr", bottom.clone())]));
    assert_eq!(counts(&measured), (0, 0, 0, 0), "{:?}", compared(&measured));
    assert!(compared(&measured).fit.contains("as seen from below"), "{}", compared(&measured).fit);
    let plain = run(&files(&[("nets.ipc", netlist(&given(false))), ("bottom.gbr", bottom)]));
    assert_eq!(counts(&plain), (0, 0, 0, 0));
    assert!(!compared(&plain).fit.contains("as seen from below"));
}

#[test]
fn a_pin_listed_under_two_nets_ties_them_and_is_told() {
    let mut records = renamed(&[(0, "GND"), (4, "AGND")]);
    records[0].pin = "NT1-1";
    records.push(Record { net: "AGND", pin: "NT1-1", ..through("AGND", PLACES[0]) });
    let measured = run(&files(&[("nets.ipc", netlist(&records)), ("top.gbr", track())]));
    assert_eq!(said(&measured), [("short", "note")]);
    let untied = renamed(&[(0, "GND"), (4, "AGND")]);
    let measured = run(&files(&[("nets.ipc", netlist(&untied)), ("top.gbr", track())]));
    assert_eq!(said(&measured), [("short", "stop")]);
}

#[test]
fn copper_with_two_net_names_ties_them_and_is_told() {
    let named = |net: &str, place: (f64, f64)| format!("%TO.N,{net}*%\n{}%TD*%\n", at(place.0, place.1, 3));
    let tied = |net: &str| {
        let (a, b) = (PLACES[0], PLACES[4]);
        let rest: Vec<(f64, f64)> = PLACES.iter().filter(|p| **p != a && **p != b).copied().collect();
        let draw = format!("D10*\n%TO.N,{net}*%\n{}{}%TD*%\n", at(a.0, a.1, 2), at(b.0, b.1, 1));
        let body = format!("D11*\n{}{}{}{draw}", flashes(&rest), named("GND", a), named("AGND", b));
        run(&files(&[("top.gbr", Some(artwork("Copper,L1,Top", &body)))]))
    };
    let short = |m: &Measured| said(m).into_iter().find(|(rule, _)| *rule == "short");
    assert_eq!(short(&tied("GND,AGND")), Some(("short", "note")));
    assert_eq!(short(&tied("GND")), Some(("short", "stop")));
}

#[test]
fn a_land_that_is_gone_is_found_though_its_hole_is_there() {
    let lands: Vec<(f64, f64)> = PLACES[1..].to_vec();
    let bottom = artwork("Copper,L2,Bot", &format!("D11*\n{}", flashes(&lands)));
    let measured = run(&files(&[("nets.ipc", netlist(&singles())), ("bottom.gbr", Some(bottom))]));
    let lost = &compared(&measured).lost;
    assert_eq!(lost.len(), 1, "{lost:?}");
    assert_eq!((lost[0].name.as_str(), lost[0].land), ("N0", Some(LayerRef::Copper(2))));
    assert!(said(&measured).contains(&("open", "ask")));
}

#[test]
fn copper_the_netlist_does_not_know_is_told_where_it_has_two_lands() {
    let more = [(18.0, 15.0), (22.0, 15.0)];
    let joined = format!("D11*\n{}D10*\n{}{}", flashes(&more), at(18.0, 15.0, 2), at(22.0, 15.0, 1));
    let mask = artwork("Soldermask,Top", &format!("D11*\n{}{}", flashes(&PLACES), flashes(&more)));
    let set = |mask: Option<String>| {
        let mut changes = vec![("nets.ipc", netlist(&singles())), ("top.gbr", copper("Copper,L1,Top", &joined))];
        changes.extend(mask.map(|m| ("topmask.gbr", Some(m))));
        run(&files(&changes))
    };
    let open = set(Some(mask));
    assert_eq!(counts(&open), (0, 0, 0, 1));
    assert_eq!(compared(&open).unnamed[0].lands, 2);
    assert_eq!(said(&open), [("no-netlist", "note")]);
    assert_eq!(counts(&set(None)), (0, 0, 0, 0), "what mask covers nobody solders to");
}

#[test]
fn a_half_hole_joins_its_lands() {
    let place = (40.0, 12.0);
    let places: Vec<(f64, f64)> = PLACES.iter().copied().chain([place]).collect();
    let land = |layer: &str| copper(layer, &format!("D11*\n{}", at(place.0, place.1, 3)));
    let mut records = singles();
    records.push(surface("EDGE", 1, (39.75, 12.0)));
    records.push(surface("EDGE", 2, (39.75, 12.0)));
    records.iter_mut().rev().take(2).for_each(|r| r.size = 300);
    let set = |holes: &[(f64, f64)]| {
        run(&files(&[
            ("nets.ipc", netlist(&records)),
            ("top.gbr", land("Copper,L1,Top")),
            ("bottom.gbr", land("Copper,L2,Bot")),
            ("holes.drl", Some(drill("Plated,1,2,PTH", 0.6, holes))),
        ]))
    };
    assert_eq!(counts(&set(&places)).1, 0, "{:?}", compared(&set(&places)).opens);
    assert_eq!(counts(&set(&PLACES)).1, 1);
}

#[test]
fn a_plated_edge_joins_the_copper_that_goes_over_it() {
    let over = |layer: &str| copper(layer, &fill(38.0, 14.0, 2.3, 4.0));
    let mut records = singles();
    records.push(surface("EDGE", 1, (38.7, 16.0)));
    records.push(surface("EDGE", 2, (38.7, 16.0)));
    let edge = |function: &str| Some(artwork(function, &format!("D12*\n{}", small::rectangle(0.0, 0.0, 40.0, 30.0))));
    let set = |function: &str| {
        run(&files(&[
            ("nets.ipc", netlist(&records)),
            ("top.gbr", over("Copper,L1,Top")),
            ("bottom.gbr", over("Copper,L2,Bot")),
            ("edge.gbr", edge(function)),
        ]))
    };
    assert_eq!(counts(&set("Profile,P")).1, 0);
    let opens = &compared(&set("Profile,NP")).opens.clone();
    assert!(opens.len() == 1 && opens[0].name == "EDGE", "{opens:?}");
}
