//! What holes are for, against what the data themselves say. Sources of the truth: the demo boards' own
//! generator; on real boards the `.AperFunction` of the drill tools (Gerber format 2021.02, section 5.6.10),
//! which is deleted before the program is asked, together with that of the lands.

mod support;

use std::collections::BTreeMap;

use landgap_parser::{Limits, Nm, Point, Shape};
use landgap_rules::board::{FeatureKind, Hole, HoleKind, HolePlating, LayerRef};
use landgap_rules::check::{InputFile, Measured, Told, measure};
use support::{checking_data, corpus, folder, measured, sets};

/// Kinds of hole with how many there are, worked out by hand from the generator's drawing.
fn counts(board: &Measured) -> BTreeMap<(HoleKind, HolePlating), usize> {
    let mut count = BTreeMap::new();
    for hole in &board.board.holes {
        *count.entry((hole.kind, hole.plating)).or_default() += 1;
    }
    count
}

/// The same files without any `.AperFunction`; lines stay where they are.
fn without_functions(files: Vec<InputFile>) -> Vec<InputFile> {
    let blank = |file: InputFile| {
        let text = String::from_utf8_lossy(&file.bytes);
        if !text.contains("TA.AperFunction") {
            return file;
        }
        let lines: Vec<String> = text.split('\n').map(without_function).collect();
        InputFile { path: file.path, bytes: lines.join("\n").into_bytes() }
    };
    files.into_iter().map(blank).collect()
}

fn without_function(line: &str) -> String {
    let Some(start) = line.find("%TA.AperFunction") else {
        let stated = line.contains("#@! TA.AperFunction");
        return if !stated {
            line.to_owned()
        } else if line.starts_with("G04") {
            "G04*".to_owned()
        } else {
            ";".to_owned()
        };
    };
    let end = line[start + 1..].find('%').map_or(line.len(), |at| start + at + 2);
    format!("{}{}", &line[..start], &line[end..])
}

fn measured_without_functions(files: Vec<InputFile>) -> Measured {
    let board = measure(&without_functions(files), &Told::new(), &Limits::default(), &|_| {});
    assert!(board.board.holes.iter().all(|h| h.function.is_none()), "a tool still carries its attribute");
    board
}

#[test]
fn the_demo_boards_holes_are_what_their_generator_drew() {
    let (plated, unplated) = (HolePlating::Plated, HolePlating::Unplated);
    // Three 0.508 mm vias under mask, rows of 8, 7 and 2 pins, one oblong pin, a slot and three screws.
    let gauge = measured(&corpus("tarn-row/tide-gauge"));
    let expected = [
        ((HoleKind::Via, plated), 3),
        ((HoleKind::Component, plated), 17),
        ((HoleKind::Mounting, unplated), 3),
        ((HoleKind::Slot, plated), 1),
        ((HoleKind::Slot, unplated), 1),
    ];
    assert_eq!(counts(&gauge), BTreeMap::from(expected));
}

#[test]
fn the_logger_reads_alike_with_and_without_its_attributes() {
    let files = folder(&corpus("tarn-row/buoy-logger"));
    let named = measure(&files, &Told::new(), &Limits::default(), &|_| {});
    for hole in &named.board.holes {
        let stated = hole.function.as_deref().expect("the generator names every hole's use");
        assert!(says(stated, hole.plating, hole.kind), "{stated} at {:?} is taken for {:?}", hole.at(), hole.kind);
    }
    let tally = compare(&named, &measured_without_functions(files));
    assert!(tally.plated > 50 && tally.plain > 4, "too few holes were compared: {tally:?}");
    assert!(tally.wrong.is_empty(), "{tally:?}");
}

#[test]
fn every_hole_has_its_reasons_in_words() {
    let board = measured(&corpus("tarn-row/buoy-logger"));
    for hole in &board.board.holes {
        let why = hole.why();
        assert!(!why.is_empty() && why.iter().all(|w| w.len() > 10), "{:?}: {why:?}", hole.at());
    }
    assert!(board.board.features.iter().all(|f| !f.reasons.is_empty()));
    let asked = [FeatureKind::CutCopper, FeatureKind::DoubledCutOut, FeatureKind::LandStack, FeatureKind::HalfHoleRow];
    let found = board.board.features.iter().find(|f| asked.contains(&f.kind));
    assert!(found.is_none(), "the sound board has {found:?}");
}

/// Places of relieved lands by copper layer, and the width of their narrowest bar.
type Reliefs = BTreeMap<(u32, Point), Nm>;

/// Where the generator set down lands with four bars of 0.35 mm, and marked them.
fn drawn_reliefs(board: &Measured) -> Reliefs {
    let mut out = Reliefs::new();
    for layer in &board.board.copper {
        let image = board.board.images[layer.file as usize].as_ref().expect("copper has an image");
        for object in &image.objects {
            let marked = image.attribute(object, ".AperFunction").is_some_and(|v| v[0] == "ThermalReliefPad");
            if let Shape::Flash { at, .. } = object.shape.clone()
                && marked
            {
                out.insert((layer.number, at), 350_000);
            }
        }
    }
    out
}

fn found_reliefs(board: &Measured) -> Reliefs {
    let reliefs = board.board.features.iter().filter(|f| f.kind == FeatureKind::Relief);
    let place = |f: &landgap_rules::board::Feature| match f.layer {
        Some(LayerRef::Copper(number)) => (number, f.at),
        other => panic!("a relief on {other:?}"),
    };
    // A width is known to twice the flattening of curves.
    reliefs.map(|f| (place(f), (f.size.expect("a width") + 500) / 1_000 * 1_000)).collect()
}

#[test]
fn the_demo_planes_are_relieved_where_their_generator_drew_bars() {
    let files = folder(&corpus("tarn-row/buoy-logger"));
    let named = measure(&files, &Told::new(), &Limits::default(), &|_| {});
    let drawn = drawn_reliefs(&named);
    assert!(drawn.len() >= 7, "only {} reliefs are drawn", drawn.len());
    let bare = measured_without_functions(files);
    for board in [&named, &bare] {
        assert_eq!(found_reliefs(board), drawn);
        let four = |f: &&landgap_rules::board::Feature| f.kind == FeatureKind::Relief;
        assert!(board.board.features.iter().filter(four).all(|f| f.parts.len() == 4 && f.settled));
    }
}

/// Whether a kind fits what the attribute says. A mechanical hole may be told more closely than the attribute does.
fn says(function: &str, plating: HolePlating, kind: HoleKind) -> bool {
    let mechanical = [HoleKind::Mechanical, HoleKind::Mounting, HoleKind::Tooling, HoleKind::Perforation];
    let first = function.split(',').find(|f| f.ends_with("Drill")).unwrap_or_default();
    match first {
        "ViaDrill" => kind == HoleKind::Via,
        "ComponentDrill" if plating == HolePlating::Plated => {
            [HoleKind::Component, HoleKind::Slot, HoleKind::PressFit].contains(&kind)
        }
        "ComponentDrill" | "MechanicalDrill" => mechanical.contains(&kind) || kind == HoleKind::Slot,
        "CastellatedDrill" => kind == HoleKind::HalfHole,
        _ => true,
    }
}

/// Round holes whose kind could be compared.
#[derive(Debug, Default)]
struct Tally {
    /// Plated: via or component is the question.
    plated: usize,
    /// Non-plated.
    plain: usize,
    /// Which came out otherwise.
    wrong: Vec<(String, HoleKind, Point, Option<Nm>)>,
}

/// Holds the kinds found without attributes against the attributes; slots are left out, as they show by themselves.
fn compare(named: &Measured, bare: &Measured) -> Tally {
    let key = |h: &Hole| (h.at(), h.finished, h.plating);
    let found: BTreeMap<_, HoleKind> = bare.board.holes.iter().map(|h| (key(h), h.kind)).collect();
    let mut tally = Tally::default();
    for hole in named.board.holes.iter().filter(|h| h.is_round()) {
        let Some(function) = hole.function.clone().filter(|f| !f.contains("OtherDrill")) else { continue };
        let kind = found.get(&key(hole)).copied().unwrap_or(HoleKind::Unclear);
        *(if hole.plating == HolePlating::Plated { &mut tally.plated } else { &mut tally.plain }) += 1;
        if !says(&function, hole.plating, kind) {
            tally.wrong.push((function, kind, hole.at(), hole.finished));
        }
    }
    tally
}

#[test]
fn real_boards_holes_are_told_without_their_attributes() {
    let Some(boards) = checking_data("boards") else { return };
    let mut all = Tally::default();
    for set in sets(&boards) {
        let files = folder(&boards.join(&set));
        let stated = |f: &InputFile| String::from_utf8_lossy(&f.bytes).contains("Drill");
        if !files.iter().any(|f| stated(f) && String::from_utf8_lossy(&f.bytes).contains("TA.AperFunction")) {
            continue;
        }
        let named = measure(&files, &Told::new(), &Limits::default(), &|_| {});
        if named.board.holes.iter().all(|h| h.function.is_none()) {
            continue;
        }
        let tally = compare(&named, &measured_without_functions(files));
        println!("{set}: {} plated, {} non-plated, {} otherwise", tally.plated, tally.plain, tally.wrong.len());
        tally.wrong.iter().take(5).for_each(|w| println!("  {w:?}"));
        all.plated += tally.plated;
        all.plain += tally.plain;
        all.wrong.extend(tally.wrong);
    }
    let plated = all.wrong.iter().filter(|(f, ..)| f.contains("Via") || f.contains("Component")).count();
    println!("in all: {} plated, {} non-plated, {} otherwise", all.plated, all.plain, all.wrong.len());
    assert!(all.plated > 500, "only {} plated holes were compared", all.plated);
    assert!(plated * 20 <= all.plated, "{plated} of {} plated holes came out otherwise", all.plated);
    assert!(all.wrong.len() * 20 <= all.plated + all.plain);
}
