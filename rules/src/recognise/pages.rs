//! Runs the examples on every recogniser's page and checks the page's own form.
//!
//! An example is a fenced block of lines that draw a small board, all lengths in millimetres:
//!
//! ```text
//! copper N                              copper layers; 2 where left out
//! outline X Y X Y [X Y…]                the board's edge: two corners of a rectangle, or all corners
//! cutout X Y X Y [X Y…]                 a cut-out, likewise
//! LAYER flash X Y round D               a land, opening or dot; LAYER is a copper layer's number from the
//! LAYER flash X Y rect W H              top, mask-top, mask-bottom, paste-top, paste-bottom, legend-top,
//! LAYER stroke X Y X Y [X Y…] width W   legend-bottom, outline or score
//! LAYER fill X Y X Y [X Y…]             an area: two corners of a rectangle, or all corners
//! hole plated|unplated|unclear X Y D    a round hole, finished
//! slot plated|unplated X Y X Y D        a slot
//! netlist via|pin X Y [plated|unplated]  what a netlist says of a hole
//! => KIND | N KIND | no KIND            what is recognised: one, so many, none
//! => hole KIND [plated|unplated]        what every hole is taken for
//! => doubt RULE | no doubt RULE         whether something is left for a rule to ask
//! ```
//!
//! A drawn line may go on with `clear` (it takes away what was drawn before), `as FUNCTION` (attribute of
//! aperture or tool), `net NAME`, `part NAME`, `span FIRST LAST` (copper layers of a hole), and `repeat COLUMNS ROWS DX DY`. Behind a kind may stand
//! `size LENGTH`, `settled` or `unsettled`.

use super::{Recogniser, registry};
use crate::board::FeatureKind;
use crate::check::Measured;
use crate::query::page::section;

mod draw;

use draw::Drawing;

const HEADINGS: [&str; 5] = ["What it is", "How it is recognised", "What looks like it", "What it changes", "Examples"];

/// One example: a board and what is to be found on it.
struct Case {
    board: Measured,
    expected: Vec<String>,
}

impl Case {
    fn parse(text: &str) -> Self {
        let mut drawing = Drawing::default();
        let mut expected = Vec::new();
        for line in text.lines().map(str::trim).filter(|l| !l.is_empty()) {
            match line.strip_prefix("=> ") {
                Some(outcome) => expected.push(outcome.to_owned()),
                None => drawing.line(line),
            }
        }
        Self { board: crate::measure::measure(drawing.board(), &|_| {}), expected }
    }

    /// What does not come out as expected.
    fn wrong(&self) -> Vec<String> {
        let met = |e: &&String| {
            let words: Vec<&str> = e.split_whitespace().collect();
            match words[..] {
                ["hole", ..] => self.holes(&words[1..]),
                ["doubt", rule] => self.doubts(rule),
                ["no", "doubt", rule] => !self.doubts(rule),
                _ => self.features(&words),
            }
        };
        self.expected.iter().filter(|e| !met(e)).map(|e| format!("expected {e}; found {}", self.found())).collect()
    }

    fn holes(&self, words: &[&str]) -> bool {
        let holes = &self.board.board.holes;
        !holes.is_empty()
            && holes.iter().all(|h| h.kind.word() == words[0] && words[1..].iter().all(|p| *p == h.plating.word()))
    }

    fn doubts(&self, rule: &str) -> bool {
        assert!(crate::rule::registry().iter().any(|r| r.name == rule), "`{rule}` is no rule");
        self.board.board.doubts.iter().any(|d| d.rule == rule)
    }

    fn features(&self, words: &[&str]) -> bool {
        let (count, words) = match words[0] {
            "no" => (0, &words[1..]),
            number if number.parse::<usize>().is_ok() => (number.parse().unwrap_or(0), &words[1..]),
            _ => (1, words),
        };
        let kind = kind(words[0]);
        let size = words.iter().position(|w| *w == "size").map(|i| draw::nm(words[i + 1]));
        let mut found = self.board.board.features.iter().filter(|f| f.kind == kind);
        let alike = found.clone().count() == count;
        alike
            && found.all(|f| {
                // Curves are flattened, so a size may be off by that much.
                size.is_none_or(|s| f.size.is_some_and(|own| (own - s).abs() <= 2_000))
                    && (!words.contains(&"settled") || f.settled)
                    && (!words.contains(&"unsettled") || !f.settled)
            })
    }

    fn found(&self) -> String {
        let board = &self.board.board;
        let feature = |f: &crate::board::Feature| {
            let state = if f.settled { "settled" } else { "unsettled" };
            format!("{} size {:?} {state} because {}", f.kind.word(), f.size, f.reasons.join("; "))
        };
        let hole = |h: &crate::board::Hole| {
            format!("hole {} {} because {}", h.kind.word(), h.plating.word(), h.why().join("; "))
        };
        let all: Vec<String> = board.features.iter().map(feature).chain(board.holes.iter().map(hole)).collect();
        if all.is_empty() { "nothing".to_owned() } else { all.join("\n    ") }
    }
}

fn kind(word: &str) -> FeatureKind {
    FeatureKind::ALL.into_iter().find(|k| k.word() == word).unwrap_or_else(|| panic!("`{word}` is no feature"))
}

fn cases(recogniser: &Recogniser) -> Vec<String> {
    let blocks = recogniser.page.split("```case\n").skip(1);
    blocks.map(|block| block.split("```").next().unwrap_or_default().to_owned()).collect()
}

#[test]
fn every_example_comes_out_as_its_page_says() {
    let mut wrong = Vec::new();
    for recogniser in registry() {
        for text in cases(recogniser) {
            let case = Case::parse(&text);
            assert!(!case.expected.is_empty(), "{}: an example expects nothing:\n{text}", recogniser.name);
            wrong.extend(case.wrong().into_iter().map(|w| format!("{}: {w}\n{text}", recogniser.name)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_page_shows_what_it_recognises_and_a_look_alike() {
    for recogniser in registry() {
        for kind in recogniser.kinds {
            let about: Vec<String> = cases(recogniser)
                .iter()
                .flat_map(|text| Case::parse(text).expected)
                .filter(|e| e.split_whitespace().any(|w| w == kind.word()))
                .collect();
            let none = about.iter().filter(|e| e.starts_with("no ")).count();
            assert!(about.len() > none, "{} has no example of {}", recogniser.name, kind.word());
            assert!(none > 0, "{} has no example that is no {}", recogniser.name, kind.word());
        }
    }
}

#[test]
fn every_page_has_its_sections_in_order() {
    for recogniser in registry() {
        let Recogniser { name, page, .. } = recogniser;
        assert!(page.starts_with(&format!("# {name}\n")), "{name} heads its page otherwise");
        let mut last = 0;
        for heading in HEADINGS {
            let place = page.find(&format!("\n## {heading}\n")).unwrap_or_else(|| panic!("{name} lacks `{heading}`"));
            assert!(place > last, "{name}: `{heading}` stands too early");
            assert!(!section(page, heading, "").is_empty(), "{name}: `{heading}` is empty");
            last = place;
        }
    }
}

#[test]
fn every_kind_of_feature_has_one_recogniser_and_the_list_is_sorted() {
    let mut kinds: Vec<FeatureKind> = registry().iter().flat_map(|r| r.kinds).copied().collect();
    kinds.sort_unstable();
    let mut known = FeatureKind::ALL.to_vec();
    known.sort_unstable();
    assert_eq!(kinds, known);
    let names: Vec<&str> = registry().iter().map(|r| r.name).collect();
    assert!(names.is_sorted(), "{names:?}");
}
