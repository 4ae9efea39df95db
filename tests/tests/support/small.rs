//! A small sound board of our own, drawn in millimetres, of which a test changes what it is about.

#![allow(dead_code, reason = "each test file uses part of it")]

use landgap_parser::Limits;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Measured, Told, judge, measure};
use landgap_rules::query::{Severity, Verdict};
use landgap_rules::rule::{Group, registry};

/// An artwork file in millimetres, six decimals, with apertures 10 (0.2 mm), 11 (1 mm) and 12 (0.1 mm) round.
pub fn artwork(function: &str, body: &str) -> String {
    let function = if function.is_empty() { String::new() } else { format!("%TF.FileFunction,{function}*%") };
    format!("%FSLAX46Y46*%%MOMM*%{function}%ADD10C,0.2*%%ADD11C,1*%%ADD12C,0.1*%\nG01*G75*\n{body}M02*\n")
}

/// One operation.
pub fn at(x: f64, y: f64, operation: u8) -> String {
    format!("X{:.0}Y{:.0}D0{operation}*\n", x * 1e6, y * 1e6)
}

/// A closed way through corners.
pub fn way(corners: &[(f64, f64)]) -> String {
    let first = corners[0];
    let draws: String = corners[1..].iter().chain([&first]).map(|c| at(c.0, c.1, 1)).collect();
    format!("{}{draws}", at(first.0, first.1, 2))
}

/// A rectangle from its lower left corner.
pub fn rectangle(x: f64, y: f64, w: f64, h: f64) -> String {
    way(&[(x, y), (x + w, y), (x + w, y + h), (x, y + h)])
}

/// A slot that lies level, with round ends; `x` and `y` are its lower left corner.
pub fn slot(x: f64, y: f64, w: f64, h: f64) -> String {
    let r = h / 2.0;
    let arc = |x: f64, y: f64, j: f64| format!("X{:.0}Y{:.0}I0J{:.0}D01*\n", x * 1e6, y * 1e6, j * 1e6);
    format!(
        "{}{}G03*\n{}G01*\n{}G03*\n{}G01*\n",
        at(x + r, y, 2),
        at(x + w - r, y, 1),
        arc(x + w - r, y + h, r),
        at(x + r, y + h, 1),
        arc(x + r, y, -r)
    )
}

/// A filled rectangle.
pub fn fill(x: f64, y: f64, w: f64, h: f64) -> String {
    format!("G36*\n{}G37*\n", rectangle(x, y, w, h))
}

/// Where the lands and holes of the board stand: without symmetry, inside 40 by 30, clear of the middle and the edge.
pub const PLACES: [(f64, f64); 12] = [
    (4.0, 5.0),
    (7.0, 24.0),
    (9.0, 4.0),
    (12.0, 26.0),
    (5.0, 15.0),
    (16.0, 4.5),
    (21.0, 25.0),
    (26.0, 6.0),
    (29.0, 26.5),
    (33.0, 4.0),
    (35.0, 24.0),
    (36.0, 13.0),
];

pub fn flashes(places: &[(f64, f64)]) -> String {
    places.iter().map(|p| at(p.0, p.1, 3)).collect()
}

/// A drill file with one tool.
pub fn drill(function: &str, size: f64, places: &[(f64, f64)]) -> String {
    let hits: String = places.iter().map(|p| format!("X{:.4}Y{:.4}\n", p.0, p.1)).collect();
    format!("M48\n; #@! TF.FileFunction,{function}\nMETRIC\nT1C{size}\n%\nT1\n{hits}M30\n")
}

/// The sound board, with files put in place of its own, added, or (`None`) left out.
pub fn files(changes: &[(&str, Option<String>)]) -> Vec<InputFile> {
    let layer = |function: &str| artwork(function, &format!("D11*\n{}", flashes(&PLACES)));
    let mut files: Vec<(String, String)> = vec![
        ("top.gbr".into(), layer("Copper,L1,Top")),
        ("bottom.gbr".into(), layer("Copper,L2,Bot")),
        ("topmask.gbr".into(), layer("Soldermask,Top")),
        ("bottommask.gbr".into(), layer("Soldermask,Bot")),
        ("edge.gbr".into(), artwork("Profile,NP", &format!("D12*\n{}", rectangle(0.0, 0.0, 40.0, 30.0)))),
        ("holes.drl".into(), drill("Plated,1,2,PTH", 0.4, &PLACES)),
    ];
    for (path, text) in changes {
        files.retain(|f| f.0 != *path);
        files.extend(text.clone().map(|t| ((*path).to_owned(), t)));
    }
    files.into_iter().map(|(path, text)| InputFile { path, bytes: text.into_bytes() }).collect()
}

/// The copper of a layer: the sound lands and more.
pub fn copper(function: &str, more: &str) -> Option<String> {
    Some(artwork(function, &format!("D11*\n{}{more}", flashes(&PLACES))))
}

/// The outline of the board with more drawn in its file.
pub fn edge(more: &str) -> Option<String> {
    Some(artwork("Profile,NP", &format!("D12*\n{}{more}", rectangle(0.0, 0.0, 40.0, 30.0))))
}

pub fn run(files: &[InputFile]) -> Measured {
    measure(files, &Told::new(), &Limits::default(), &|_| {})
}

pub fn verdict(measured: &Measured) -> Verdict {
    judge(measured, &Capability::named("standard").expect("comes with the program"), &Order::default())
}

/// Rules of the set, outline and holes that ask or stop, with their severity.
pub fn asked(measured: &Measured) -> Vec<(&'static str, &'static str)> {
    said(measured, Severity::Ask)
}

/// Rules of the set, outline and holes that say anything.
pub fn told(measured: &Measured) -> Vec<(&'static str, &'static str)> {
    said(measured, Severity::Note)
}

fn said(measured: &Measured, least: Severity) -> Vec<(&'static str, &'static str)> {
    let group = |rule: &str| registry().iter().find(|r| r.name == rule).map(|r| r.group);
    let verdict = verdict(measured);
    let meant = verdict
        .queries
        .iter()
        .filter(|q| matches!(group(q.rule), Some(Group::Set | Group::Outline | Group::Holes)) && q.severity >= least);
    let mut out: Vec<_> = meant.map(|q| (q.rule, q.severity.word())).collect();
    out.sort_unstable();
    out
}
