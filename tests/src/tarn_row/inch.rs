//! The other dialect: inch artwork without attributes and with older words, and drill data with repeats and G85
//! slots. Lengths are ten-thousandths of an inch, the step of the files.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::model::{Form, Hole, Item, Point, Ring, Step, What};

/// The text of a layer; 2.4 inch, leading zeros omitted. Rectangles are macros.
pub fn layer(name: &str, items: &[Item]) -> String {
    let mut codes: BTreeMap<Form, u32> = items.iter().filter_map(form).map(|f| (f, 0)).collect();
    let mut text = format!(
        "G04 {name}*\n%LN{name}*%\n%FSLAX24Y24*%\n%MOIN*%\nG70*\nG90*\nG75*\n%IPPOS*%\n%AMBLOCK*21,1,$1,$2,0,0,0*%\n"
    );
    for (code, (form, value)) in (10..).zip(&mut codes) {
        *value = code;
        let _ = writeln!(text, "%ADD{code}{}*%", template(*form));
    }
    let mut current = 0;
    for item in items {
        if let Some(code) = form(item).map(|f| codes[&f]).filter(|c| *c != current) {
            let _ = writeln!(text, "G54D{code}*");
            current = code;
        }
        draw(&mut text, item);
    }
    text.push_str("M02*\n");
    text
}

fn form(item: &Item) -> Option<Form> {
    match item.what {
        What::Flash(_, form) => Some(form),
        What::Draw(_, _, width) => Some(Form::Disc(width)),
        What::Area(_) => None,
    }
}

fn template(form: Form) -> String {
    match form {
        Form::Disc(d) => format!("C,{}", inch(d)),
        Form::Rect(w, h) => format!("BLOCK,{}X{}", inch(w), inch(h)),
        Form::Oblong(w, h) => format!("O,{}X{}", inch(w), inch(h)),
    }
}

fn inch(v: i64) -> String {
    format!("{}.{:04}", v / 10_000, v % 10_000)
}

fn draw(text: &mut String, item: &Item) {
    match &item.what {
        What::Flash(p, _) => drop(writeln!(text, "X{}Y{}D03*", p.x, p.y)),
        What::Draw(a, b, _) => drop(writeln!(text, "X{}Y{}D02*\nG01X{}Y{}D01*", a.x, a.y, b.x, b.y)),
        What::Area(ring) => area(text, ring),
    }
}

fn area(text: &mut String, ring: &Ring) {
    let _ = writeln!(text, "G36*\nX{}Y{}D02*\nG01*", ring.start.x, ring.start.y);
    for step in &ring.steps {
        if let Step::Line(p) = step {
            let _ = writeln!(text, "X{}Y{}D01*", p.x, p.y);
        }
    }
    text.push_str("G37*\n");
}

/// The text of a drill file: inch, trailing zeros kept, 2.4.
pub fn drill(holes: &[Hole], plated: bool) -> String {
    let mut tools: BTreeMap<i64, Vec<&Hole>> = BTreeMap::new();
    for hole in holes.iter().filter(|h| h.plated == plated) {
        tools.entry(hole.size).or_default().push(hole);
    }
    let mut text = String::from("M48\nINCH,TZ\n");
    for (number, size) in (1..).zip(tools.keys()) {
        let _ = writeln!(text, "T{number}C{}", inch(*size));
    }
    text.push_str("%\n");
    for (number, list) in (1..).zip(tools.values()) {
        let _ = writeln!(text, "T{number}");
        hits(&mut text, list);
    }
    text.push_str("T0\nM30\n");
    text
}

fn hits(text: &mut String, list: &[&Hole]) {
    let (round, slots): (Vec<&Hole>, Vec<&Hole>) = list.iter().copied().partition(|h| h.from == h.to);
    let places: Vec<Point> = round.iter().map(|h| h.from).collect();
    let mut i = 0;
    while i < places.len() {
        let more = repeats(&places[i..]);
        let _ = writeln!(text, "{}", word(places[i]));
        if more > 1 {
            let (a, b) = (places[i], places[i + 1]);
            let _ = writeln!(text, "R{more}X{}Y{}", b.x - a.x, b.y - a.y);
            i += more;
        }
        i += 1;
    }
    for slot in slots {
        let _ = writeln!(text, "{}G85{}", word(slot.from), word(slot.to));
    }
}

/// How many further places follow the first in equal steps.
fn repeats(places: &[Point]) -> usize {
    let step = |a: &Point, b: &Point| (b.x - a.x, b.y - a.y);
    let Some(first) = places.get(1).map(|b| step(&places[0], b)) else { return 0 };
    places.windows(2).take_while(|pair| step(&pair[0], &pair[1]) == first).count()
}

/// Six digits at most; leading zeros are dropped, so every step of 0.0001 in is one unit.
fn word(p: Point) -> String {
    format!("X{}Y{}", p.x, p.y)
}
