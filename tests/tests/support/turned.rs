//! Small boards written out as text at any angle: everything is drawn with round pens and areas, whose corners turn.

#![allow(dead_code, reason = "each test file uses part of it")]

use landgap_parser::Limits;
use landgap_rules::check::{InputFile, Measured, Told, measure};

/// How a test board lies, and the unit it is written in.
#[derive(Clone, Copy, Debug)]
pub struct Lie {
    /// Counter-clockwise, after mirroring.
    pub degrees: f64,
    /// Whether x became −x.
    pub mirrored: bool,
    /// Written in inch.
    pub inch: bool,
}

/// As drawn, in mm.
pub const PLAIN: Lie = Lie { degrees: 0.0, mirrored: false, inch: false };

/// Four angles, mirrored or not, in mm and in inch.
pub fn lies() -> Vec<Lie> {
    let mut all = Vec::new();
    for degrees in [0.0, 17.0, 45.0, 90.0] {
        for mirrored in [false, true] {
            for inch in [false, true] {
                all.push(Lie { degrees, mirrored, inch });
            }
        }
    }
    all
}

impl Lie {
    fn turned(self, (x, y): (f64, f64)) -> (f64, f64) {
        let x = if self.mirrored { -x } else { x };
        let (sin, cos) = self.degrees.to_radians().sin_cos();
        (x * cos - y * sin, x * sin + y * cos)
    }

    /// A length in µm in the file's unit.
    fn length(self, um: f64) -> f64 {
        if self.inch { um / 25_400.0 } else { um / 1000.0 }
    }

    /// A point in µm as the file's coordinate text.
    pub fn at(self, p: (f64, f64)) -> String {
        let (x, y) = self.turned(p);
        let number = |um: f64| (self.length(um) * 1e6).round() as i64;
        format!("X{}Y{}", number(x), number(y))
    }

    /// An artwork file with this function and body.
    pub fn artwork(self, function: &str, body: &str) -> Vec<u8> {
        let unit = if self.inch { "IN" } else { "MM" };
        format!("%TF.FileFunction,{function}*%\n%FSLAX46Y46*%\n%MO{unit}*%\nG75*\nG01*\n{body}M02*\n").into_bytes()
    }

    /// A round pen.
    pub fn pen(self, um: f64, number: u32) -> String {
        format!("%ADD{number}C,{:.7}*%\nD{number}*\n", self.length(um))
    }

    /// A straight stroke with round ends.
    pub fn track(self, um: f64, from: (f64, f64), to: (f64, f64), number: u32) -> String {
        self.pen(um, number) + &self.line(from, to)
    }

    /// The same with the pen at hand.
    pub fn line(self, from: (f64, f64), to: (f64, f64)) -> String {
        format!("{}D02*\n{}D01*\n", self.at(from), self.at(to))
    }

    /// A round flash.
    pub fn disc(self, um: f64, at: (f64, f64), number: u32) -> String {
        self.pen(um, number) + &self.flash(at)
    }

    /// The same with the aperture at hand.
    pub fn flash(self, at: (f64, f64)) -> String {
        format!("{}D03*\n", self.at(at))
    }

    /// A filled area.
    pub fn area(self, corners: &[(f64, f64)]) -> String {
        let mut text = format!("G36*\n{}D02*\n", self.at(corners[0]));
        for corner in corners.iter().skip(1).chain([&corners[0]]) {
            text += &format!("{}D01*\n", self.at(*corner));
        }
        text + "G37*\n"
    }

    /// A filled rectangle: middle, width and height.
    pub fn block(self, (x, y): (f64, f64), width: f64, height: f64) -> String {
        let (w, h) = (width / 2.0, height / 2.0);
        self.area(&[(x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h)])
    }

    /// A drill file of holes: diameter, then place, in µm; each with the function of its tool.
    pub fn drill(self, holes: &[(f64, (f64, f64))], plated: bool, function: &str) -> Vec<u8> {
        let kind = if plated { "Plated,1,2,PTH" } else { "NonPlated,1,2,NPTH" };
        let mut text = format!("M48\n; #@! TF.FileFunction,{kind}\n{}\n", if self.inch { "INCH" } else { "METRIC" });
        for (i, (diameter, _)) in holes.iter().enumerate() {
            if !function.is_empty() {
                text += &format!("; #@! TA.AperFunction,{function}\n");
            }
            text += &format!("T{:02}C{:.7}\n", i + 1, self.length(*diameter));
        }
        text += "%\nG05\n";
        for (i, (_, at)) in holes.iter().enumerate() {
            let (x, y) = self.turned(*at);
            text += &format!("T{:02}\nX{:.7}Y{:.7}\n", i + 1, self.length(x), self.length(y));
        }
        (text + "M30\n").into_bytes()
    }

    /// A square outline about the origin, 20 mm wide.
    pub fn outline(self) -> Vec<u8> {
        let h = 10_000.0;
        let corners = [(-h, -h), (h, -h), (h, h), (-h, h), (-h, -h)];
        let draws: String = corners.windows(2).map(|w| self.line(w[0], w[1])).collect();
        self.artwork("Profile,NP", &(self.pen(100.0, 10) + &draws))
    }

    /// A board of two copper layers with these bodies and an outline.
    pub fn board(self, top: &str, bottom: &str) -> Vec<InputFile> {
        vec![
            file("top.gbr", self.artwork("Copper,L1,Top", top)),
            file("bottom.gbr", self.artwork("Copper,L2,Bot", bottom)),
            file("outline.gbr", self.outline()),
        ]
    }
}

/// A file of a set.
pub fn file(path: &str, bytes: Vec<u8>) -> InputFile {
    InputFile { path: path.into(), bytes }
}

/// Reads, places and measures files.
pub fn run(files: &[InputFile]) -> Measured {
    measure(files, &Told::new(), &Limits::default(), &|_| {})
}
