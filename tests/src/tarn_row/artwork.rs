//! Writes a layer in the Gerber layer format with X2 attributes (syntax: Gerber specification 2021.02, §4 and §5).

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::model::{Form, Item, Point, Ring, Step, What};

type Aperture = (Form, &'static str);

struct Writer {
    text: String,
    codes: BTreeMap<Aperture, u32>,
    current: u32,
    clear: bool,
    net: Option<String>,
    pin: Option<(String, String)>,
}

/// The text of a layer: lengths in micrometres are written as 4.6 millimetres.
pub fn layer(function: &str, polarity: &str, items: &[Item]) -> String {
    let codes = number_apertures(items);
    let mut writer = Writer { text: String::new(), codes, current: 0, clear: false, net: None, pin: None };
    writer.head(function, polarity);
    writer.define();
    for item in items {
        writer.item(item);
    }
    writer.text.push_str("M02*\n");
    writer.text
}

fn number_apertures(items: &[Item]) -> BTreeMap<Aperture, u32> {
    let mut codes: BTreeMap<Aperture, u32> = items.iter().filter_map(aperture).map(|a| (a, 0)).collect();
    for (code, value) in (10..).zip(codes.values_mut()) {
        *value = code;
    }
    codes
}

fn aperture(item: &Item) -> Option<Aperture> {
    match item.what {
        What::Flash(_, form) => Some((form, item.function)),
        What::Draw(_, _, width) => Some((Form::Disc(width), item.function)),
        What::Area(_) => None,
    }
}

fn mm(um: i64) -> String {
    format!("{}.{:03}", um / 1000, um % 1000)
}

fn template(form: Form) -> String {
    match form {
        Form::Disc(d) => format!("C,{}", mm(d)),
        Form::Rect(w, h) => format!("R,{}X{}", mm(w), mm(h)),
        Form::Oblong(w, h) => format!("O,{}X{}", mm(w), mm(h)),
    }
}

impl Writer {
    fn head(&mut self, function: &str, polarity: &str) {
        let _ = write!(
            self.text,
            "G04 Tarn Row demo board, drawn by a program of the Landgap project*\n\
             %TF.GenerationSoftware,Landgap,tarn-row,1*%\n\
             %TF.Part,Single*%\n\
             %TF.SameCoordinates,tarn-row*%\n\
             %TF.FileFunction,{function}*%\n\
             %TF.FilePolarity,{polarity}*%\n\
             %FSLAX46Y46*%\n%MOMM*%\n%LPD*%\nG75*\nG01*\n"
        );
    }

    fn define(&mut self) {
        for ((form, function), code) in self.codes.clone() {
            if !function.is_empty() {
                let _ = writeln!(self.text, "%TA.AperFunction,{function}*%");
            }
            let _ = writeln!(self.text, "%ADD{code}{}*%", template(form));
            if !function.is_empty() {
                self.text.push_str("%TD*%\n");
            }
        }
    }

    fn item(&mut self, item: &Item) {
        self.polarity(item.clear);
        self.objects(item);
        if let Some(code) = aperture(item).and_then(|a| self.codes.get(&a).copied()) {
            self.select(code);
        }
        match &item.what {
            What::Flash(at, _) => self.operate(*at, "D03"),
            What::Draw(from, to, _) => {
                self.operate(*from, "D02");
                self.operate(*to, "D01");
            }
            What::Area(ring) => self.area(ring, item.function),
        }
    }

    fn polarity(&mut self, clear: bool) {
        if clear != self.clear {
            self.text.push_str(if clear { "%LPC*%\n" } else { "%LPD*%\n" });
            self.clear = clear;
        }
    }

    fn objects(&mut self, item: &Item) {
        if item.net == self.net && item.pin == self.pin {
            return;
        }
        if (self.net.is_some() && item.net.is_none()) || (self.pin.is_some() && item.pin.is_none()) {
            self.text.push_str("%TD*%\n");
            self.net = None;
        }
        if let Some(net) = item.net.as_ref().filter(|n| self.net.as_ref() != Some(n)) {
            let _ = writeln!(self.text, "%TO.N,{net}*%");
        }
        if let Some((part, pin)) = &item.pin {
            let _ = writeln!(self.text, "%TO.P,{part},{pin}*%");
        }
        (self.net, self.pin) = (item.net.clone(), item.pin.clone());
    }

    fn select(&mut self, code: u32) {
        if code != self.current {
            let _ = writeln!(self.text, "D{code}*");
            self.current = code;
        }
    }

    fn operate(&mut self, p: Point, code: &str) {
        let _ = writeln!(self.text, "X{}Y{}{code}*", p.x * 1000, p.y * 1000);
    }

    fn area(&mut self, ring: &Ring, function: &str) {
        if !function.is_empty() {
            let _ = writeln!(self.text, "%TA.AperFunction,{function}*%");
        }
        self.text.push_str("G36*\n");
        self.contour(ring);
        self.text.push_str("G37*\n");
        if !function.is_empty() {
            self.text.push_str("%TD.AperFunction*%\n");
        }
    }

    fn contour(&mut self, ring: &Ring) {
        self.operate(ring.start, "D02");
        let mut from = ring.start;
        for step in &ring.steps {
            from = self.step(from, *step);
        }
    }

    fn step(&mut self, from: Point, step: Step) -> Point {
        match step {
            Step::Line(to) => {
                self.operate(to, "D01");
                to
            }
            Step::Arc { to, centre } => {
                let (i, j) = ((centre.x - from.x) * 1000, (centre.y - from.y) * 1000);
                let _ = writeln!(self.text, "G03*\nX{}Y{}I{i}J{j}D01*\nG01*", to.x * 1000, to.y * 1000);
                to
            }
        }
    }
}

/// The text of the outline: closed chains of draws whose centre line is the edge.
pub fn outline(rings: &[Ring], width: i64) -> String {
    let codes = BTreeMap::from([((Form::Disc(width), "Profile"), 10)]);
    let mut writer = Writer { text: String::new(), codes, current: 0, clear: false, net: None, pin: None };
    writer.head("Profile,NP", "Positive");
    writer.define();
    writer.select(10);
    for ring in rings {
        writer.contour(ring);
    }
    writer.text.push_str("M02*\n");
    writer.text
}
