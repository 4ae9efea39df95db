//! Runs the examples on every rule's page and checks the page's own form.
//!
//! An example is a fenced block of lines, lengths in micrometres, places in millimetres:
//!
//! ```text
//! capability NAME                       the profile; standard where left out
//! order KEY = VALUE                     a line of the order file
//! copper N                              copper layers; 2 where left out
//! hole plated|unplated KIND SIZE [tolerance PLUS MINUS] [at X Y]
//! landed N…                             layers on which that hole touches copper
//! outline closed|open|assumed|missing   closed where left out
//! board AREA                            area of the board, mm²
//! area N AREA [of BOARD] [barest SHARE]  copper on a layer and the board's area, mm²; barest window, %
//! floating LAYER at X Y size W H [taken-for FEATURE] [net N]   a piece of copper joined to nothing, mm
//! floating-not-looked LAYER WHY         a layer on which such pieces cannot be told
//! bridged LENGTH                        widest gap of the outline that was closed
//! cover TOP BOTTOM                      how mask lies on that hole, a via: covered, opened, in-land, partly or -
//! function VALUE                        what the tool of that hole states
//! masks none|top                        both sides have one where left out; `pastes`, `legends` likewise
//! fact KIND LAYER VALUE [± LENGTH] [nets N N] [holes N…] [length LENGTH] [same-net] [at X Y]
//! feature KIND LAYER [size LENGTH] [settled] [holes N…] [from X Y to X Y] [spokes WIDTH…] [reach MM] [at X Y]
//! doubt WHAT WAS SEEN                   a doubt of this rule, and its
//! reading POSSIBLE READING              readings, likeliest first
//! compared STATEMENT                    nets were compared with it, and its
//! short NAME NAME [by PART] [declared]  differences
//! open NAME PARTS
//! lost NAME at X Y [land LAYER]
//! unnamed LANDS at X Y                  copper the statement does not know
//! refused WHY                           a netlist that could not be laid over the copper
//! => silent|note|ask|stop|not run       what the rule makes of it
//! ```

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};

use super::{Rule, registry};
use crate::board::{
    CopperLayer, Doubt, Feature, FeatureKind, Hole, HoleKind, HolePlating, LayerRef, Outline, OutlineState, Part, Side,
    SideLayer, Source,
};
use crate::capability::{Capability, Order};
use crate::check::{Measured, judge};
use crate::fact::{Cover, Coverage, Fact, FactKind, Floating, LayerFacts, Window};
use crate::netlist::{Comparison, Lost, Open, Refusal, Short, Spot, Unnamed};
use crate::query::page::{Fill, Offer, options, section, sentence};

const HEADINGS: [&str; 8] =
    ["Title", "What we see", "Why it matters", "How it is measured", "When it is fine", "Limit", "Options", "Examples"];
const WHERE: Source = Source { file: 0, line: 0 };

/// One example, ready to judge.
struct Case {
    measured: Measured,
    capability: String,
    order: String,
    layers: u32,
    expected: String,
}

fn um(text: &str) -> Nm {
    (text.parse::<f64>().unwrap_or_else(|_| panic!("`{text}` is no number")) * 1000.0).round() as Nm
}

fn mm(text: &str) -> Nm {
    um(text) * 1000
}

fn side_of(number: u32, layers: u32) -> Side {
    match number {
        1 => Side::Top,
        n if n == layers => Side::Bottom,
        _ => Side::Inner,
    }
}

fn layer(word: &str) -> Option<LayerRef> {
    match word {
        "-" => None,
        "mask-top" => Some(LayerRef::Mask(Side::Top)),
        "mask-bottom" => Some(LayerRef::Mask(Side::Bottom)),
        "legend-top" => Some(LayerRef::Legend(Side::Top)),
        "legend-bottom" => Some(LayerRef::Legend(Side::Bottom)),
        _ => Some(LayerRef::Copper(word.trim_start_matches("copper-").parse().expect("copper-N"))),
    }
}

fn at(words: &[&str]) -> Point {
    match words.iter().position(|w| *w == "at") {
        Some(i) => Point::new(mm(words[i + 1]), mm(words[i + 2])),
        None => Point::new(0, 0),
    }
}

fn numbers(words: &[&str], after: &str) -> Vec<u32> {
    let from = words.iter().position(|w| *w == after).map_or(words.len(), |i| i + 1);
    words[from..].iter().map_while(|w| w.parse().ok()).collect()
}

fn hole(words: &[&str]) -> Hole {
    let plating = match words[0] {
        "plated" => HolePlating::Plated,
        "unplated" => HolePlating::Unplated,
        other => panic!("`{other}` is no plating"),
    };
    let known = |kind: &HoleKind| kind.word().split('-').next() == words[1].split('-').next();
    let kind = HoleKind::ALL.into_iter().find(known).unwrap_or_else(|| panic!("`{}` is no kind of hole", words[1]));
    let shape = HitShape::Hole { at: at(words) };
    Hole {
        shape,
        finished: Some(um(words[2])),
        plating,
        kind,
        span: (1, 99),
        source: WHERE,
        step: 1,
        function: None,
        tolerance: tolerance(words),
        reasons: Vec::new(),
    }
}

/// `tolerance PLUS MINUS`.
fn tolerance(words: &[&str]) -> Option<(Nm, Nm)> {
    words.iter().position(|w| *w == "tolerance").map(|i| (um(words[i + 1]), um(words[i + 2])))
}

fn fact(words: &[&str]) -> Fact {
    let kind =
        FactKind::ALL.into_iter().find(|k| k.word() == words[0]).unwrap_or_else(|| panic!("`{}` is no fact", words[0]));
    let after = |word: &str| words.iter().position(|w| *w == word).map(|i| um(words[i + 1]));
    let value = um(words[2]);
    let from = at(words);
    Fact {
        kind,
        layer: layer(words[1]),
        value,
        uncertainty: after("±").unwrap_or(0),
        from,
        to: Point::new(from.x + value.abs(), from.y),
        nets: numbers(words, "nets"),
        holes: numbers(words, "holes"),
        sources: Vec::new(),
        length: after("length"),
        run: None,
        same_net: words.contains(&"same-net"),
    }
}

fn feature(words: &[&str]) -> Feature {
    let known = |k: &FeatureKind| k.word() == words[0];
    let kind = FeatureKind::ALL.into_iter().find(known).unwrap_or_else(|| panic!("`{}` is no feature", words[0]));
    let mut feature = Feature::new(kind, layer(words[1]), at(words));
    feature.size = words.iter().position(|w| *w == "size").map(|i| um(words[i + 1]));
    feature.settled = words.contains(&"settled");
    feature.holes = numbers(words, "holes");
    let end = |word: &str| {
        let i = words.iter().position(|w| *w == word)?;
        Some(Point::new(mm(words[i + 1]), mm(words[i + 2])))
    };
    feature.between = end("from").zip(end("to"));
    feature.parts = feature.between.iter().map(|(from, to)| Part { from: *from, to: *to, width: 0 }).collect();
    let after = |word: &str| words.iter().position(|w| *w == word).map(|i| &words[i + 1..]);
    let here = feature.at;
    feature.bounds = after("reach").map(|w| crate::geometry::Bounds { min: here, max: here }.grown(mm(w[0])));
    let spoke = |width: &&str| Part { from: here, to: Point::new(here.x + mm("1"), here.y), width: um(width) };
    let widths = after("spokes").unwrap_or_default().iter().take_while(|w| w.parse::<f64>().is_ok());
    feature.parts.extend(widths.map(spoke));
    feature
}

fn outline(word: &str) -> Outline {
    let state = match word {
        "closed" => OutlineState::Closed,
        "open" => OutlineState::Open,
        "assumed" => OutlineState::Assumed,
        "missing" => OutlineState::Missing,
        other => panic!("`{other}` is no state of an outline"),
    };
    Outline { state, ..Outline::default() }
}

/// Keeps the layers of the sides named.
fn keep(layers: &mut Vec<SideLayer>, sides: &str) {
    layers.retain(|l| sides.split_whitespace().any(|s| s == l.side.word()));
}

impl Case {
    fn parse(rule: &'static str, text: &str) -> Self {
        let mut case = Self {
            measured: Measured::default(),
            capability: "standard".into(),
            order: String::new(),
            layers: 2,
            expected: String::new(),
        };
        case.measured.board.outline = outline("closed");
        let board = &mut case.measured.board;
        for layers in [&mut board.masks, &mut board.pastes, &mut board.legends] {
            *layers = [Side::Top, Side::Bottom].map(|side| SideLayer { side, file: u32::MAX }).to_vec();
        }
        for line in text.lines().filter(|l| !l.trim().is_empty()) {
            case.line(rule, line.trim());
        }
        case.finish();
        case
    }

    fn line(&mut self, rule: &'static str, line: &str) {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        let words: Vec<&str> = rest.split_whitespace().collect();
        let board = &mut self.measured.board;
        match word {
            "capability" => self.capability = rest.to_owned(),
            "order" => self.order.push_str(&format!("{rest}\n")),
            "copper" => self.layers = rest.parse().expect("number of layers"),
            "hole" => board.holes.push(hole(&words)),
            "fact" => self.measured.facts.facts.push(fact(&words)),
            "feature" => board.features.push(feature(&words)),
            "landed" => self.landed(&words),
            "cover" => self.cover(&words),
            "function" => board.holes.last_mut().expect("a hole before its function").function = Some(rest.to_owned()),
            "masks" => keep(&mut board.masks, rest),
            "pastes" => keep(&mut board.pastes, rest),
            "legends" => keep(&mut board.legends, rest),
            "board" => self.measured.facts.board_mm2 = words[0].parse().expect("an area in mm²"),
            "area" => self.area(&words),
            "floating" => self.floating(&words),
            "floating-not-looked" => {
                let why = rest.split_once(' ').expect("a layer and why").1.to_owned();
                self.measured.facts.floating_not_looked.push((layer(words[0]).expect("a layer"), why));
            }
            "outline" => board.outline = outline(rest),
            "bridged" => board.outline.bridged = um(rest),
            "doubt" => board.doubts.push(Doubt {
                rule,
                seen: rest.to_owned(),
                reasons: Vec::new(),
                sources: Vec::new(),
                places: Vec::new(),
                readings: Vec::new(),
            }),
            "reading" => board.doubts.last_mut().expect("a doubt before its reading").readings.push(rest.to_owned()),
            "compared" | "short" | "open" | "lost" | "unnamed" | "refused" => self.electrical(word, rest, &words),
            "=>" => self.expected = rest.to_owned(),
            other => panic!("an example of {rule} holds `{other}`, which is no word of examples"),
        }
    }

    fn electrical(&mut self, word: &str, rest: &str, words: &[&str]) {
        let all = &mut self.measured.facts.electrical;
        if word == "compared" {
            let from_netlist = rest.starts_with("netlist");
            all.comparisons.push(Comparison { statement: rest.to_owned(), from_netlist, ..Comparison::default() });
            return;
        }
        if word == "refused" {
            return all.refused.push(Refusal { why: rest.to_owned(), source: WHERE });
        }
        let last = all.comparisons.last_mut().expect("`compared` before its differences");
        let spot = Spot { at: at(words), ..Spot::default() };
        let (found, name) = (String::new(), words[0].to_owned());
        match word {
            "short" => {
                let by = words.iter().position(|w| *w == "by");
                let declared = words.contains(&"declared");
                let named = words[..by.unwrap_or(words.len())].iter().filter(|n| **n != "declared");
                let names = named.map(|n| (*n).to_owned()).collect();
                last.shorts.push(Short { names, spot, found, by_part: by.map(|i| words[i + 1].to_owned()), declared });
            }
            "open" => last.opens.push(Open { name, parts: words[1].parse().expect("a number of parts"), spot, found }),
            "unnamed" => last.unnamed.push(Unnamed {
                at: spot.at,
                layer: LayerRef::Copper(1),
                lands: name.parse().expect("a number of lands"),
                source: WHERE,
            }),
            _ => {
                let land = words.iter().position(|w| *w == "land").and_then(|i| layer(words[i + 1]));
                last.lost.push(Lost { name, pin: String::new(), at: spot.at, land, source: WHERE });
            }
        }
    }

    /// `landed N…`: the copper layers on which the hole named last touches copper.
    fn landed(&mut self, words: &[&str]) {
        let last = self.measured.board.holes.len() - 1;
        self.measured.facts.landed.resize(last, Vec::new());
        self.measured.facts.landed.push(words.iter().map(|w| w.parse().expect("a copper layer")).collect());
    }

    /// `cover TOP BOTTOM`: how mask lies on the via named last.
    fn cover(&mut self, words: &[&str]) {
        let of = |word: &&str| match *word {
            "-" => None,
            "covered" => Some(Cover::Covered),
            "opened" => Some(Cover::Opened),
            "in-land" => Some(Cover::InLand),
            "partly" => Some(Cover::Partly),
            other => panic!("`{other}` is no cover"),
        };
        let last = self.measured.board.holes.len() - 1;
        self.measured.facts.covers.resize(last, [None; 2]);
        self.measured.facts.covers.push([of(&words[0]), of(&words[1])]);
    }

    /// `floating LAYER at X Y size W H [taken-for FEATURE]`.
    fn floating(&mut self, words: &[&str]) {
        let after = |word: &str| words.iter().position(|w| *w == word).map(|i| &words[i + 1..]);
        let size = after("size").map_or((0, 0), |w| (mm(w[0]), mm(w[1])));
        let kind = |word: &str| FeatureKind::ALL.into_iter().find(|k| k.word() == word).expect("a feature");
        self.measured.facts.floating.push(Floating {
            layer: layer(words[0]).expect("a layer"),
            at: at(words),
            size,
            area_mm2: 0.0,
            net: after("net").map_or(0, |w| w[0].parse().expect("a net")),
            taken_for: after("taken-for").map(|w| kind(w[0])),
            source: None,
        });
    }

    /// `area N MM2`: the copper on a layer; no copper is no piece.
    fn area(&mut self, words: &[&str]) {
        let layer = words[0].parse().expect("a copper layer");
        let copper_mm2: f64 = words[1].parse().expect("an area in mm²");
        let side = side_of(layer, self.layers);
        let islands = u32::from(copper_mm2 > 0.0);
        let after =
            |word: &str| words.iter().position(|w| *w == word).map(|i| words[i + 1].parse::<f64>().expect("a number"));
        let coverage = after("of").map(|board| {
            let share = (copper_mm2 / board * 1e6).round() as u32;
            let least = after("barest").map(|b| Window { share: (b * 1e4).round() as u32, at: Point::new(0, 0) });
            Coverage { share, least, most: None, mean: share, windows: 1 }
        });
        self.measured.facts.layers.push(LayerFacts { layer, side, copper_mm2, islands, coverage });
    }

    fn finish(&mut self) {
        let layers = self.layers;
        self.measured.board.copper = (1..=layers)
            .map(|number| CopperLayer { number, side: side_of(number, layers), file: 0, negative: false })
            .collect();
        self.measured.facts.looked_at = FactKind::ALL.map(|k| (k, 1)).to_vec();
    }

    /// What the rule makes of it: its gravest severity, "silent" or "not run".
    fn outcome(&self, rule: &str) -> String {
        let capability = Capability::named(&self.capability).expect("a profile that comes with the program");
        let order = Order::parse("example", &self.order).expect("an order");
        let verdict = judge(&self.measured, &capability, &order);
        let not_run = verdict.ran.iter().any(|r| r.rule == rule && r.not_run.is_some());
        let worst = verdict.queries.iter().filter(|q| q.rule == rule).map(|q| q.severity).max();
        worst.map_or(if not_run { "not run" } else { "silent" }, |s| s.word()).to_owned()
    }
}

fn cases(rule: &Rule) -> Vec<String> {
    rule.page.split("```case\n").skip(1).map(|block| block.split("```").next().unwrap_or_default().to_owned()).collect()
}

#[test]
fn every_example_comes_out_as_its_page_says() {
    let mut wrong = Vec::new();
    for rule in registry() {
        for text in cases(rule) {
            let case = Case::parse(rule.name, &text);
            let outcome = case.outcome(rule.name);
            if outcome != case.expected {
                wrong.push(format!("{}: {outcome} instead of {}\n{text}", rule.name, case.expected));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_page_shows_a_fault_and_a_look_alike() {
    for rule in registry() {
        let expected: Vec<String> = cases(rule).iter().map(|text| Case::parse(rule.name, text).expected).collect();
        let fault = |e: &String| ["note", "ask", "stop"].contains(&e.as_str());
        assert!(expected.iter().any(fault), "{} has no example of its fault", rule.name);
        assert!(expected.iter().any(|e| e == "silent"), "{} has no example that is fine", rule.name);
    }
}

#[test]
fn every_page_has_its_sections_in_order() {
    for rule in registry() {
        assert!(rule.page.starts_with(&format!("# {}\n", rule.name)), "{} heads its page otherwise", rule.name);
        let mut last = 0;
        for heading in HEADINGS {
            let place = rule
                .page
                .find(&format!("\n## {heading}\n"))
                .unwrap_or_else(|| panic!("{} lacks `{heading}`", rule.name));
            assert!(place > last, "{}: `{heading}` stands too early", rule.name);
            assert!(!section(rule.page, heading, "").is_empty(), "{}: `{heading}` is empty", rule.name);
            last = place;
        }
    }
}

#[test]
fn every_word_in_braces_is_known() {
    for rule in registry() {
        for piece in rule.page.split('{').skip(1) {
            let word = piece.split('}').next().unwrap_or_default();
            assert!(Fill::WORDS.contains(&word), "{} uses {{{word}}}", rule.name);
        }
    }
}

#[test]
fn every_page_offers_at_least_two_answers_with_one_recommended() {
    for rule in registry() {
        let lines = options(rule.page, "");
        for known in [Offer::AllReadings, Offer::NoReadings] {
            let offered: Vec<_> = lines.iter().filter(|o| o.offer == Offer::Always || o.offer == known).collect();
            let readings_matter = lines.iter().any(|o| o.offer == known);
            assert!(offered.len() >= 2 || !readings_matter, "{} offers too little", rule.name);
            assert!(offered.iter().any(|o| o.recommended), "{} recommends nothing", rule.name);
        }
        assert!(
            !sentence(rule.page, "Title", "").ends_with('.'),
            "{}: titles get their stop when they are filled",
            rule.name
        );
    }
}

#[test]
fn registry_is_sorted_by_group_then_name() {
    let keys: Vec<_> = registry().iter().map(|r| (r.group, r.name)).collect();
    let mut sorted = keys.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(keys, sorted);
}
