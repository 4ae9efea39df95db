//! Small boards written out as text: turned, mirrored, in either unit.

#![allow(dead_code, reason = "each test file uses part of it")]

use landgap_parser::Limits;
use landgap_rules::check::{InputFile, Measured, Told, measure};

/// How a test board lies: quarter turns, mirrored or not, and the unit it is written in.
#[derive(Clone, Copy, Debug)]
pub struct Pose {
    quarter_turns: u32,
    mirrored: bool,
    inch: bool,
    /// A turn that is no quarter turn, in degrees, after the others.
    degrees: f64,
}

/// A pose of quarter turns only.
const fn square(quarter_turns: u32, mirrored: bool, inch: bool) -> Pose {
    Pose { quarter_turns, mirrored, inch, degrees: 0.0 }
}

/// 0°, 17°, 45° and 90°, mirrored and not, in mm and in inch.
pub const TURNED: [Pose; 16] = {
    let mut all = [square(0, false, false); 16];
    let mut i = 0;
    while i < 16 {
        all[i].quarter_turns = if i % 4 == 3 { 1 } else { 0 };
        all[i].degrees = [0.0, 17.0, 45.0, 0.0][i % 4];
        all[i].mirrored = i / 4 % 2 == 1;
        all[i].inch = i / 8 == 1;
        i += 1;
    }
    all
};

/// Turned, mirrored, in mm and in inch.
pub const POSES: [Pose; 8] = [
    square(0, false, false),
    square(1, false, false),
    square(2, true, false),
    square(3, true, false),
    square(0, true, true),
    square(1, false, true),
    square(2, false, true),
    square(3, true, true),
];

impl Pose {
    /// A point in µm as the file's coordinate text.
    pub fn at(self, x_um: f64, y_um: f64) -> String {
        let x = if self.mirrored { -x_um } else { x_um };
        let (x, y) = match self.quarter_turns {
            0 => (x, y_um),
            1 => (-y_um, x),
            2 => (-x, -y_um),
            _ => (y_um, -x),
        };
        let (sin, cos) = self.degrees.to_radians().sin_cos();
        let (x, y) = if self.degrees == 0.0 { (x, y) } else { (x * cos - y * sin, x * sin + y * cos) };
        format!("X{}Y{}", self.number(x), self.number(y))
    }

    fn number(self, um: f64) -> i64 {
        (self.length(um) * 1e6).round() as i64
    }

    /// A length in µm in the file's unit.
    pub fn length(self, um: f64) -> f64 {
        if self.inch { um / 25_400.0 } else { um / 1000.0 }
    }

    /// An artwork file with this function and body.
    pub fn artwork(self, function: &str, body: &str) -> Vec<u8> {
        let unit = if self.inch { "IN" } else { "MM" };
        format!("%TF.FileFunction,{function}*%\n%FSLAX46Y46*%\n%MO{unit}*%\nG75*\nG01*\n{body}M02*\n").into_bytes()
    }

    /// A straight track with round ends.
    pub fn track(self, width_um: f64, from: (f64, f64), to: (f64, f64), number: u32) -> String {
        format!(
            "%ADD{number}C,{:.6}*%\nD{number}*\n{}D02*\n{}D01*\n",
            self.length(width_um),
            self.at(from.0, from.1),
            self.at(to.0, to.1)
        )
    }

    /// A round flash.
    pub fn disc(self, diameter_um: f64, at: (f64, f64), number: u32) -> String {
        format!("%ADD{number}C,{:.6}*%\nD{number}*\n{}D03*\n", self.length(diameter_um), self.at(at.0, at.1))
    }

    /// A filled polygon.
    pub fn area(self, corners: &[(f64, f64)]) -> String {
        let last = corners[corners.len() - 1];
        let draws: String = corners.iter().map(|c| format!("{}D01*\n", self.at(c.0, c.1))).collect();
        format!("G36*\n{}D02*\n{draws}G37*\n", self.at(last.0, last.1))
    }

    /// A drill file of holes: diameter, x, y in µm.
    pub fn drill(self, holes: &[(f64, f64, f64)], plated: bool) -> Vec<u8> {
        let kind = if plated { "Plated,1,2,PTH" } else { "NonPlated,1,2,NPTH" };
        let mut text = format!("M48\n; #@! TF.FileFunction,{kind}\n{}\n", if self.inch { "INCH" } else { "METRIC" });
        for (i, (diameter, _, _)) in holes.iter().enumerate() {
            text += &format!("T{:02}C{:.6}\n", i + 1, self.length(*diameter));
        }
        text += "%\nG05\n";
        for (i, (_, x, y)) in holes.iter().enumerate() {
            text += &format!("T{:02}\n{}\n", i + 1, self.decimal(*x, *y));
        }
        (text + "M30\n").into_bytes()
    }

    fn decimal(self, x_um: f64, y_um: f64) -> String {
        let text = self.at(x_um, y_um);
        let (x, y) = text[1..].split_once('Y').expect("both axes");
        let point = |v: &str| format!("{:.6}", v.parse::<i64>().expect("integer") as f64 / 1e6);
        format!("X{}Y{}", point(x), point(y))
    }

    /// A 20 × 20 mm outline about the origin.
    pub fn outline(self) -> Vec<u8> {
        let h = 10_000.0;
        let corners = [(h, -h), (h, h), (-h, h), (-h, -h)];
        let draws: String = corners.iter().map(|c| format!("{}D01*\n", self.at(c.0, c.1))).collect();
        self.artwork(
            "Profile,NP",
            &format!("%ADD10C,{:.6}*%\nD10*\n{}D02*\n{draws}", self.length(100.0), self.at(-h, -h)),
        )
    }
}

/// A file of a set.
pub fn file(path: &str, bytes: Vec<u8>) -> InputFile {
    InputFile { path: path.into(), bytes }
}

/// Reads, places and measures files.
pub fn run(files: Vec<InputFile>) -> Measured {
    measure(&files, &Told::new(), &Limits::default(), &|_| {})
}

/// A board with this body on its top copper and the same lands below.
pub fn copper(pose: Pose, body: &str) -> Vec<InputFile> {
    vec![
        file("top.gbr", pose.artwork("Copper,L1,Top", body)),
        file("bottom.gbr", pose.artwork("Copper,L2,Bot", "")),
        file("outline.gbr", pose.outline()),
    ]
}
