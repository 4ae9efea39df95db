//! Copper against netlists, through the public doors: the demo board with faults put in one by one, and real sets.
//!
//! The demo's netlist is written by the layout program from its own nets, not from copper. Causes: shorts,
//! opens, lost points (IPC-D-356A; the trade's rows E13 to E15).

mod support;

use landgap_parser::Limits;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Measured, Told, judge, measure};
use landgap_rules::netlist::Comparison;
use support::{checking_data, corpus, folder, sets};

const COPPER: &str = "buoy-logger-copper-1.gbr";
const NETS: &str = "buoy-logger-nets.ipc";

fn logger() -> Vec<InputFile> {
    folder(&corpus("tarn-row/buoy-logger"))
}

fn run(files: &[InputFile]) -> Measured {
    measure(files, &Told::new(), &Limits::default(), &|_| {})
}

fn text(files: &[InputFile], path: &str) -> String {
    let file = files.iter().find(|f| f.path == path).unwrap_or_else(|| panic!("no {path}"));
    String::from_utf8(file.bytes.clone()).expect("text")
}

/// The demo with one file rewritten.
fn with(path: &str, change: impl Fn(&str) -> String) -> Vec<InputFile> {
    let mut files = logger();
    let changed = change(&text(&files, path)).into_bytes();
    files.iter_mut().find(|f| f.path == path).expect("the file").bytes = changed;
    files
}

/// The comparison with the netlist file.
fn netlist(measured: &Measured) -> &Comparison {
    let found = measured.facts.electrical.comparisons.iter().find(|c| c.from_netlist);
    found.unwrap_or_else(|| panic!("no comparison: {:?}", measured.facts.electrical.refused))
}

fn clean(found: &Comparison) -> bool {
    found.shorts.is_empty() && found.opens.is_empty() && found.lost.is_empty()
}

fn queries(measured: &Measured, order: &str) -> Vec<(&'static str, &'static str)> {
    let capability = Capability::named("standard").expect("comes with the program");
    let order = Order::parse("order", order).expect("an order");
    judge(measured, &capability, &order).queries.iter().map(|q| (q.rule, q.severity.word())).collect()
}

#[test]
fn the_sound_board_compares_clean_with_netlist_and_attributes() {
    let measured = run(&logger());
    let all = &measured.facts.electrical;
    assert_eq!(all.comparisons.len(), 2, "{all:?}");
    assert!(all.comparisons.iter().all(clean), "{all:?}");
    assert!(netlist(&measured).points > 100 && netlist(&measured).fit.contains("as sent"), "{all:?}");
    let asked = queries(&measured, "");
    assert!(!asked.iter().any(|(rule, _)| ["short", "open", "no-netlist"].contains(rule)), "{asked:?}");
}

#[test]
fn without_a_netlist_the_attributes_are_compared_and_class_3_is_asked() {
    let files: Vec<InputFile> = logger().into_iter().filter(|f| f.path != NETS).collect();
    let measured = run(&files);
    assert!(measured.facts.electrical.comparisons.iter().all(|c| clean(c) && !c.from_netlist));
    assert!(queries(&measured, "").contains(&("no-netlist", "note")));
    assert!(queries(&measured, "class = 3").contains(&("no-netlist", "ask")));
}

/// The coordinates of a line.
fn place(line: &str) -> Option<(i64, i64)> {
    let number = |from: char, to: char| {
        let start = line.find(from)? + 1;
        let end = line[start..].find(to)? + start;
        line[start..end].parse::<i64>().ok()
    };
    Some((number('X', 'Y')?, number('Y', 'D')?))
}

/// Where every flash of a file stands, by number of line, for files with one operation a line.
fn flashes(text: &str) -> Vec<(usize, i64, i64)> {
    let flash = |(i, line): (usize, &str)| place(line).map(|(x, y)| (i, x, y));
    text.lines().enumerate().filter(|(_, l)| l.ends_with("D03*")).filter_map(flash).collect()
}

/// The file without one line; the aperture and attributes before it stay.
fn without_line(text: &str, number: usize) -> String {
    text.lines().enumerate().filter(|(i, _)| *i != number).map(|(_, l)| format!("{l}\n")).collect()
}

#[test]
fn each_land_taken_from_the_top_is_found_at_its_place() {
    let files = logger();
    let copper = text(&files, COPPER);
    let nets = text(&files, NETS);
    let stated = lands(&nets);
    let ends: Vec<(i64, i64)> =
        copper.lines().filter(|l| l.ends_with("D01*") || l.ends_with("D02*")).filter_map(place).collect();
    assert!(stated.len() > 50, "{}", stated.len());
    let mut tried = 0;
    for (line, x, y) in flashes(&copper) {
        let Some(land) = stated.iter().find(|l| (l.x, l.y) == (x, y)) else { continue };
        tried += 1;
        if tried % 4 != 0 {
            continue;
        }
        let measured = run(&with(COPPER, |t| without_line(t, line)));
        let found = netlist(&measured);
        // A track of the same net that ends within the land is still met: then nothing but the land is gone.
        let covered = ends.iter().any(|(a, b)| (a - x).abs().max((b - y).abs()) <= land.reach);
        let lost = found.lost.iter().any(|l| (l.at.x, l.at.y) == (x, y));
        assert!(lost || covered, "the land at {x}, {y} (line {line}) is gone and nobody said so");
        assert!(found.shorts.is_empty(), "{:?}", found.shorts);
    }
    assert!(tried > 50, "{tried}");
}

/// A land of the top, as the netlist has it.
#[derive(Clone)]
struct Land {
    name: String,
    x: i64,
    y: i64,
    /// Half its larger extent.
    reach: i64,
}

fn lands(nets: &str) -> Vec<Land> {
    let of = |l: &str| -> Option<Land> {
        let nm = |range: std::ops::Range<usize>| l[range].parse::<i64>().ok().map(|v| v * 1000);
        let reach = nm(58..62)?.max(nm(63..67)?) / 2;
        Some(Land { name: l[3..17].trim().to_owned(), x: nm(42..49)?, y: nm(50..57)?, reach })
    };
    let tops = nets.lines().filter(|l| l.starts_with("327") && l.contains("A01"));
    tops.filter_map(of).filter(|l| l.name != "N/C").collect()
}

/// Pairs of lands of different nets, near each other.
fn near_pairs(lands: &[Land], reach: i64) -> Vec<(Land, Land)> {
    let near = |a: &Land, b: &Land| a.name != b.name && (a.x - b.x).abs() + (a.y - b.y).abs() < reach;
    let of = |(i, a): (usize, &Land)| Some((a.clone(), lands[i + 1..].iter().find(|b| near(a, b))?.clone()));
    lands.iter().enumerate().filter_map(of).collect()
}

/// The top copper with a stroke drawn between two lands.
fn bridged(a: &Land, b: &Land) -> Vec<InputFile> {
    let stroke = format!("%ADD98C,0.100*%\n%LPD*%\nG01*\nD98*\nX{}Y{}D02*\nX{}Y{}D01*\nM02*", a.x, a.y, b.x, b.y);
    with(COPPER, |t| t.replace("M02*", &stroke))
}

#[test]
fn a_bridge_between_two_lands_is_found_where_it_is_drawn() {
    let pairs = near_pairs(&lands(&text(&logger(), NETS)), 2_000_000);
    assert!(pairs.len() > 30, "{}", pairs.len());
    for (a, b) in pairs.iter().step_by(5) {
        let measured = run(&bridged(a, b));
        let found = netlist(&measured);
        let short = found.shorts.iter().find(|s| s.names.contains(&a.name) && s.names.contains(&b.name));
        let short = short.unwrap_or_else(|| panic!("{} to {}: {found:?}", a.name, b.name));
        let off = (short.spot.at.x - (a.x + b.x) / 2).abs() + (short.spot.at.y - (a.y + b.y) / 2).abs();
        let length = (a.x - b.x).abs() + (a.y - b.y).abs();
        // A bridge may run over other lands on its way: then one of them is as good a place.
        assert!(off <= length, "{short:?} lies {off} nm from the middle of the bridge");
        assert!(queries(&measured, "").contains(&("short", "stop")));
    }
}

#[test]
fn a_lone_bridge_is_named_with_its_width_and_line() {
    let pairs = near_pairs(&lands(&text(&logger(), NETS)), 1_500_000);
    let (a, b) = pairs.first().expect("two near lands");
    let files = bridged(a, b);
    let end = format!("X{}Y{}D01*", b.x, b.y);
    let line =
        text(&files, COPPER).lines().collect::<Vec<_>>().iter().rposition(|l| *l == end).expect("the bridge") + 1;
    let measured = run(&files);
    let short = netlist(&measured).shorts.first().expect("a short").clone();
    assert!(short.spot.sources.iter().any(|s| s.line as usize == line), "{short:?}, line {line} expected");
    assert_eq!(short.spot.measured, Some(100_000), "{short:?}");
}

#[test]
fn a_cut_track_is_an_open_with_its_gap() {
    let copper = text(&logger(), COPPER);
    let draws: Vec<usize> =
        copper.lines().enumerate().filter(|(_, l)| l.ends_with("D01*") && l.contains('X')).map(|(i, _)| i).collect();
    let mut found = 0;
    for line in draws.iter().step_by(draws.len() / 12 + 1) {
        let measured = run(&with(COPPER, |t| t.replace(copper.lines().nth(*line).expect("a line"), "")));
        let comparison = netlist(&measured);
        found += usize::from(!comparison.opens.is_empty());
        assert!(comparison.shorts.is_empty());
        for open in &comparison.opens {
            assert!(open.parts >= 2 && open.spot.measured.is_none_or(|gap| gap > 0), "{open:?}");
        }
    }
    assert!(found >= 6, "only {found} of 12 cut tracks left an open");
}

/// Moved, mirrored, in the other unit: the netlist is laid over the copper and says how.
#[test]
fn a_shifted_mirrored_or_misread_netlist_is_laid_over_the_copper() {
    let shift = |l: &str| -> String {
        if !(l.starts_with("317") || l.starts_with("327")) {
            return format!("{l}\n");
        }
        let x = l[42..49].parse::<i64>().expect("x") + 12_345;
        format!("{}{x:+07}{}\n", &l[..42], &l[49..])
    };
    let mirror = |l: &str| -> String {
        if !(l.starts_with("317") || l.starts_with("327")) {
            return format!("{l}\n");
        }
        let x = 100_000 - l[42..49].parse::<i64>().expect("x");
        let access = match &l[38..41] {
            "A01" => "A02",
            "A02" => "A01",
            other => other,
        };
        format!("{}{access}X{x:+07}{}\n", &l[..38], &l[49..])
    };
    let shifted = run(&with(NETS, |t| t.lines().map(shift).collect()));
    assert!(clean(netlist(&shifted)) && netlist(&shifted).fit.contains("shifted by"), "{:?}", netlist(&shifted));
    let mirrored = run(&with(NETS, |t| t.lines().map(mirror).collect()));
    assert!(netlist(&mirrored).fit.contains("mirrored"), "{:?}", netlist(&mirrored).fit);
    assert!(clean(netlist(&mirrored)), "{:?}", netlist(&mirrored));
    let inch = run(&with(NETS, |t| t.replace("UNITS SI", "UNITS CUST 0")));
    assert!(netlist(&inch).fit.contains("its unit read as the other one"), "{:?}", netlist(&inch).fit);
}

#[test]
fn a_netlist_of_another_board_is_refused_and_asked() {
    let scatter = |l: &str| -> String {
        if !(l.starts_with("317") || l.starts_with("327")) {
            return format!("{l}\n");
        }
        let x = l[42..49].parse::<i64>().expect("x");
        let y = l[50..57].parse::<i64>().expect("y");
        format!("{}{:+07}Y{:+07}{}\n", &l[..42], (x * 7919) % 45_000, (y * 6101) % 31_000, &l[57..])
    };
    let measured = run(&with(NETS, |t| t.lines().map(scatter).collect()));
    assert!(measured.facts.electrical.refused.len() == 1, "{:?}", measured.facts.electrical);
    assert!(queries(&measured, "").contains(&("no-netlist", "ask")));
}

#[test]
fn names_that_differ_in_case_are_one_net() {
    let lower = |l: &str| match l.starts_with("327") {
        true => format!("{}{}{}\n", &l[..3], l[3..17].to_lowercase(), &l[17..]),
        false => format!("{l}\n"),
    };
    let measured = run(&with(NETS, |t| t.lines().map(lower).collect()));
    assert!(clean(netlist(&measured)), "{:?}", netlist(&measured));
}

/// Real sets: those with netlists and those with net attributes compare clean, or the difference is known.
#[test]
fn real_sets_compare_clean_or_the_difference_is_known() {
    let Some(root) = checking_data("boards") else { return };
    for set in sets(&root) {
        let files = folder(&root.join(&set));
        let states_nets = |f: &InputFile| {
            landgap_parser::kind::detect(&f.bytes) == landgap_parser::kind::Kind::Netlist
                || f.bytes.windows(6).any(|w| w == b"%TO.N,")
        };
        if !files.iter().any(states_nets) {
            continue;
        }
        let measured = run(&files);
        let all = &measured.facts.electrical;
        assert!(all.refused.is_empty(), "{set}: {:?}", all.refused);
        for found in &all.comparisons {
            let (shorts, opens, lost) =
                KNOWN.iter().find(|k| k.0 == set && k.1 == found.from_netlist).map_or((0, 0, 0), |k| k.2);
            println!("{set}: {} ({} points, {} nets), {}", found.statement, found.points, found.names, found.fit);
            let shorts_asked = found.shorts.iter().filter(|s| s.by_part.is_none()).count();
            let got = (shorts_asked, found.opens.len(), found.lost.len());
            assert_eq!(got, (shorts, opens, lost), "{set}: {:?} {:?} {:?}", found.shorts, found.opens, found.lost);
        }
    }
}

/// Set, whether the netlist file is meant, and how many shorts, opens and lost points are known there.
///
/// 087: the pin at (111.76, -99.06) is stated on net J9-Pad5 and no track leads to it; the set's sister, 032,
/// has that track on its bottom layer.
const KNOWN: [(&str, bool, (usize, usize, usize)); 1] = [("board-087", false, (0, 1, 0))];

/// What the netlist says of holes and the drill data contradict is a remark on the netlist, with its line.
#[test]
fn holes_the_netlist_states_otherwise_are_remarked_not_chosen() {
    let codes = |files: &[InputFile]| -> Vec<(&'static str, u32, u32)> {
        let board = run(files).board;
        let file = board.files.iter().find(|f| f.path == NETS).expect("the netlist");
        file.remarks.iter().map(|r| (r.code.id, r.place.line, r.more)).collect()
    };
    assert_eq!(codes(&logger()), []);
    let first = text(&logger(), NETS).lines().position(|l| l.starts_with("317")).expect("a hole") as u32 + 1;
    let change = |from: &str, to: &str| {
        with(NETS, |t| {
            let at = |(i, l): (usize, &str)| match i as u32 + 1 == first {
                true => format!("{}\n", l.replacen(from, to, 1)),
                false => format!("{l}\n"),
            };
            t.lines().enumerate().map(at).collect()
        })
    };
    assert_eq!(codes(&change("D1200", "D1300")), [("set-netlist-hole-size", first, 0)]);
    assert_eq!(codes(&change("PA00", "UA00")), [("set-netlist-hole-plating", first, 0)]);
    assert_eq!(codes(&change("X+005500", "X+015777")), [("set-netlist-hole-absent", first, 0)]);
}

#[test]
fn real_netlists_say_of_holes_what_the_drill_data_say() {
    let Some(root) = checking_data("boards") else { return };
    for set in ["board-009", "board-012", "board-031", "board-036"] {
        let board = run(&folder(&root.join(set))).board;
        let remarks = board.files.iter().flat_map(|f| &f.remarks).filter(|r| r.code.id.starts_with("set-netlist"));
        let said: Vec<String> = remarks.map(|r| format!("{}: {r}", r.code.id)).collect();
        assert!(said.is_empty(), "{set}: {said:#?}");
    }
}
