//! The order of copper layers by what the copper, the netlist and the drill data say of it: on a board
//! of four layers of our own, sound, exchanged, look-alike.
//!
//! Numerals in the copper: common practice, no source. Records 378 and 317: IPC-D-356A.

use landgap_rules::board::Board;

use super::common::own;

const HEAD: &str = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.6*%\n%ADD11C,0.25*%\n%ADD12C,0.3*%\n";

/// Holes through the board, in mm.
const THROUGH: [(f64, f64); 8] =
    [(3.0, 4.0), (5.0, 11.0), (8.0, 6.0), (9.0, 13.0), (12.0, 3.0), (13.0, 9.0), (17.0, 4.0), (15.0, 12.0)];
/// Holes that end inside.
const BLIND: [(f64, f64); 6] = [(4.0, 7.0), (7.0, 2.0), (11.0, 6.5), (14.0, 5.5), (6.5, 9.0), (16.5, 8.5)];

/// Strokes of plain numerals on a field of 4 by 6.
const STROKES: [&str; 6] = [
    "",
    "04 26 20",
    "05 16 36 45 44 00 40",
    "05 16 36 45 44 33 42 41 30 10 01",
    "30 36 02 42",
    "46 06 03 33 42 41 30 10 01",
];

fn at(x: f64, y: f64) -> String {
    format!("X{:.0}Y{:.0}", x * 1e6, y * 1e6)
}

/// A numeral 1.5 mm high.
fn numeral(digit: usize, x: f64, y: f64) -> String {
    let point = |word: &str| {
        let v: Vec<f64> = word.bytes().map(|b| f64::from(b - b'0') * 0.25).collect();
        at(x + v[0], y + v[1])
    };
    let words: Vec<&str> = STROKES[digit].split(' ').collect();
    let draws: String = words[1..].iter().map(|w| format!("{}D01*\n", point(w))).collect();
    format!("D12*\n{}D02*\n{draws}", point(words[0]))
}

fn lands(places: &[(f64, f64)]) -> String {
    places.iter().fold("D10*\n".to_owned(), |text, p| text + &format!("{}D03*\n", at(p.0, p.1)))
}

/// A copper layer: lands of all holes through, one track of its own, and more.
fn copper(number: usize, more: &str) -> String {
    let y = 3.5 + 2.0 * number as f64;
    let track = format!("D11*\n{}D02*\n{}D01*\n", at(2.0, y), at(18.0, y));
    format!("{HEAD}{}{track}{more}M02*\n", lands(&THROUGH))
}

fn drill(places: &[(f64, f64)], head: &str) -> String {
    let hits: String = places.iter().map(|p| format!("X{:.3}Y{:.3}\n", p.0, p.1)).collect();
    format!("M48\n{head}METRIC\nT1C0.3\n%\nT1\n{hits}M30\n")
}

/// Four layers under the given names; the body of each by its number.
fn board(names: [&str; 4], order: [usize; 4], more: impl Fn(usize) -> String, files: &[(&str, String)]) -> Board {
    let mut all: Vec<(&str, String)> =
        names.into_iter().zip(order).map(|(name, number)| (name, copper(number, &more(number)))).collect();
    all.push(("gauge.drl", drill(&THROUGH, "")));
    all.extend(files.iter().cloned());
    let set: Vec<(&str, &str)> = all.iter().map(|(path, text)| (*path, text.as_str())).collect();
    own(&set)
}

const NUMBERED: [&str; 4] = ["gauge_top.gbr", "gauge_inner1.gbr", "gauge_inner2.gbr", "gauge_bottom.gbr"];
const NAMED: [&str; 4] = ["gauge_top.gbr", "gauge_gnd.gbr", "gauge_pwr.gbr", "gauge_bottom.gbr"];

fn asked(board: &Board) -> Vec<String> {
    let own = board.doubts.iter().filter(|d| d.rule == "unclear-layer-order");
    own.map(|d| format!("{} | {}", d.seen, d.readings.join(" | "))).collect()
}

/// A row of numerals beside the board, a step a layer.
fn stepped(number: usize) -> String {
    numeral(number, 2.0 + 2.0 * number as f64, 17.0)
}

#[test]
fn numerals_that_agree_are_evidence_and_ask_nothing() {
    let sound = board(NUMBERED, [1, 2, 3, 4], stepped, &[]);
    assert_eq!(asked(&sound), [""; 0]);
    let evidence = |path: &str| sound.files.iter().find(|f| f.path == path).expect("its file").evidence.join("; ");
    assert!(
        evidence("gauge_inner2.gbr").contains("has the numeral 3 drawn in its copper"),
        "{}",
        evidence("gauge_inner2.gbr")
    );
}

#[test]
fn numerals_that_contradict_the_names_are_asked_about_with_both_orders() {
    let found = asked(&board(NUMBERED, [1, 3, 2, 4], stepped, &[]));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("the numerals drawn in the copper put gauge_inner1.gbr, gauge_inner2.gbr at copper 3, 2"),
        "{found:?}"
    );
    assert!(
        found[0].contains("1 gauge_top.gbr, 2 gauge_inner2.gbr, 3 gauge_inner1.gbr, 4 gauge_bottom.gbr"),
        "{found:?}"
    );
}

#[test]
fn numerals_settle_an_order_that_nothing_else_gives() {
    let layer = |board: &Board, path: &str| board.files.iter().find(|f| f.path == path).and_then(|f| f.layer);
    assert_eq!(asked(&board(NAMED, [1, 3, 2, 4], |_| String::new(), &[])).len(), 1, "without numerals it is asked");
    let settled = board(NAMED, [1, 3, 2, 4], stepped, &[]);
    assert_eq!(asked(&settled), [""; 0]);
    assert_eq!((layer(&settled, "gauge_gnd.gbr"), layer(&settled, "gauge_pwr.gbr")), (Some(3), Some(2)));
    assert!(
        settled.assumptions.iter().any(|a| a.contains("from the numerals drawn in the copper")),
        "{:?}",
        settled.assumptions
    );
}

#[test]
fn numerals_at_one_place_speak_too() {
    let same_place = |number| numeral(number, 10.0, 17.0);
    assert_eq!(asked(&board(NUMBERED, [1, 2, 3, 4], same_place, &[])), [""; 0]);
    assert_eq!(asked(&board(NUMBERED, [1, 3, 2, 4], same_place, &[])).len(), 1);
}

#[test]
fn the_same_text_on_every_layer_is_no_numbering() {
    let text = |_| numeral(2, 4.0, 17.0) + &numeral(5, 6.0, 17.0) + &numeral(3, 8.0, 17.0);
    assert_eq!(asked(&board(NUMBERED, [1, 2, 3, 4], text, &[])), [""; 0]);
    assert_eq!(asked(&board(NUMBERED, [1, 3, 2, 4], text, &[])), [""; 0]);
    // Nor are numerals that no row joins.
    let loose = |number| numeral(number, [0.0, 3.0, 11.0, 5.0, 16.0][number], 17.0);
    assert_eq!(asked(&board(NUMBERED, [1, 3, 2, 4], loose, &[])), [""; 0]);
}

#[test]
fn holes_that_end_at_a_layer_need_their_lands_there() {
    let more = |number| if number <= 2 { lands(&BLIND) } else { String::new() };
    let head = "; #@! TF.FileFunction,Plated,1,2,Blind\n";
    let blind = [("gauge_blind.drl", drill(&BLIND, head))];
    assert_eq!(asked(&board(NUMBERED, [1, 2, 3, 4], more, &blind)), [""; 0]);
    let found = asked(&board(NUMBERED, [1, 3, 2, 4], more, &blind));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("the holes from copper 1 to 2 put gauge_inner2.gbr, gauge_inner1.gbr at copper 2, 3"),
        "{found:?}"
    );
    // Three holes say too little.
    let few = [("gauge_blind.drl", drill(&BLIND[..3], head))];
    let more = |number| if number <= 2 { lands(&BLIND[..3]) } else { String::new() };
    assert_eq!(asked(&board(NUMBERED, [1, 3, 2, 4], more, &few)), [""; 0]);
}

/// A netlist in steps of 0.001 mm: a point a hole, and the track of every layer in pieces.
fn netlist(pieces: usize) -> String {
    let mut out = "P  UNITS CUST 1\n".to_owned();
    for (x, y) in THROUGH {
        out += &format!(
            "{:<80}\n",
            format!("317N1                VIA         D0300PA00X+{:06.0}Y+{:06.0}X0600Y0000R000S0", x * 1e3, y * 1e3)
        );
    }
    for number in 1..=4 {
        let y = (3.5 + 2.0 * f64::from(number)) * 1e3;
        for i in 0..pieces {
            let x = 2_000.0 + 16_000.0 / pieces as f64 * i as f64;
            out += &format!(
                "{:<80}\n",
                format!(
                    "378N1             L{number:02} X0250      X+{x:06.0}Y+{y:06.0} X+{:06.0}Y+{y:06.0}",
                    x + 16_000.0 / pieces as f64
                )
            );
        }
    }
    out + "999\n"
}

#[test]
fn conductors_of_the_netlist_run_in_the_copper_of_their_layer() {
    let with = |order, pieces| asked(&board(NUMBERED, order, |_| String::new(), &[("gauge.ipc", netlist(pieces))]));
    assert_eq!(with([1, 2, 3, 4], 16), [""; 0]);
    let found = with([1, 3, 2, 4], 16);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("the conductors of gauge.ipc put gauge_inner1.gbr, gauge_inner2.gbr at copper 3, 2"),
        "{found:?}"
    );
    // Eight conductors of a layer speak, seven do not.
    assert_eq!((with([1, 3, 2, 4], 8).len(), with([1, 3, 2, 4], 7).len()), (1, 0));
}

#[test]
fn conductors_settle_an_order_that_nothing_else_gives() {
    let found = board(NAMED, [1, 3, 2, 4], |_| String::new(), &[("gauge.ipc", netlist(16))]);
    assert_eq!(asked(&found), [""; 0]);
    assert_eq!(
        found.copper.iter().map(|c| found.files[c.file as usize].path.as_str()).collect::<Vec<_>>(),
        ["gauge_top.gbr", "gauge_pwr.gbr", "gauge_gnd.gbr", "gauge_bottom.gbr"]
    );
}

#[test]
fn attribute_and_name_that_count_otherwise_are_asked_about() {
    let set = |first: u32, second: u32| {
        let text = |number: u32, side: &str| {
            format!("%TF.FileFunction,Copper,L{number},{side}*%\n{}", copper(number as usize, ""))
        };
        let files = [text(1, "Top"), text(first, "Inr"), text(second, "Inr"), text(4, "Bot")];
        let drill = drill(&THROUGH, "");
        let mut all: Vec<(&str, &str)> = NUMBERED.into_iter().zip(files.iter().map(String::as_str)).collect();
        all.push(("gauge.drl", &drill));
        asked(&own(&all))
    };
    assert_eq!(set(2, 3), [""; 0]);
    let found = set(3, 2);
    assert!(found.len() == 1 && found[0].contains("the names of the files put"), "{found:?}");
}
