//! The sheet a figure is drawn on: SVG text with fixed decimals and a handful of drawing marks.

use std::fmt::Write;

use super::clip;
use super::view::{Frame, Px};
use crate::print::junit::escape;

/// Colour of all lines and letters.
pub const INK: &str = "#111";

/// An SVG being written.
#[derive(Debug)]
pub struct Sheet {
    out: String,
    id: String,
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Hatched upwards to the right.
    Hatch,
    /// Hatched downwards to the right: a neighbour of another net.
    CounterHatch,
    /// A light even tone.
    Tone,
    /// Paper.
    Paper,
    /// Nothing at all.
    Open,
}

/// A coordinate with two decimals, `-0` avoided, needless zeros dropped.
#[must_use]
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" || text.is_empty() { "0".to_owned() } else { text.to_owned() }
}

impl Sheet {
    /// An empty white sheet; `id` keeps its patterns apart from those of other figures on one page.
    #[must_use]
    pub fn new(id: &str, width: f64, height: f64, title: &str) -> Self {
        let mut out = String::new();
        let (w, h) = (number(width), number(height));
        let _ = write!(
            out,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" \
             font-family=\"Helvetica, Arial, sans-serif\" font-size=\"13\" fill=\"none\" stroke-linejoin=\"round\" role=\"img\">\n\
             <title>{}</title>\n<defs>\n{}{}</defs>\n<rect width=\"{w}\" height=\"{h}\" fill=\"#fff\"/>\n",
            escape(title),
            hatch(id, "a", 45),
            hatch(id, "b", 135),
        );
        Self { out, id: id.to_owned() }
    }

    /// The finished SVG.
    #[must_use]
    pub fn finish(mut self) -> String {
        self.out += "</svg>\n";
        self.out
    }

    /// Bytes so far.
    #[must_use]
    pub fn size(&self) -> usize {
        self.out.len()
    }

    fn fill(&self, fill: Fill) -> String {
        match fill {
            Fill::Hatch => format!("url(#{}-a)", self.id),
            Fill::CounterHatch => format!("url(#{}-b)", self.id),
            Fill::Tone => "#dcdcdc".to_owned(),
            Fill::Paper => "#fff".to_owned(),
            Fill::Open => "none".to_owned(),
        }
    }

    /// Begins a part of the drawing in which nothing shows outside `frame`.
    pub fn begin_clip(&mut self, frame: Frame) {
        let (x, y) = (number(frame.left), number(frame.top));
        let (w, h) = (number(frame.width), number(frame.height));
        let id = &self.id;
        let _ = writeln!(
            self.out,
            "<clipPath id=\"{id}-c\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>\n<g clip-path=\"url(#{id}-c)\">"
        );
    }

    /// Ends what [`Sheet::begin_clip`] began.
    pub fn end_clip(&mut self) {
        self.out += "</g>\n";
    }

    /// Begins a part of the drawing that programs find by a name, with a value.
    pub fn group(&mut self, name: &str, value: &str) {
        let _ = writeln!(self.out, "<g data-{name}=\"{}\">", escape(value));
    }

    /// Ends what [`Sheet::group`] began.
    pub fn end_group(&mut self) {
        self.out += "</g>\n";
    }

    /// Closed contours as one area: what lies inside an even number of them stays open.
    /// `dash` is an SVG dash list, empty for a full line.
    pub fn area(&mut self, contours: &[Vec<Px>], within: Frame, tolerance: f64, fill: Fill, width: f64, dash: &str) {
        let mut path = String::new();
        for contour in contours {
            let points = clip::simplified(&clip::clipped(contour, within), tolerance);
            if points.len() > 2 {
                push_points(&mut path, &points);
                path.push('Z');
            }
        }
        if !path.is_empty() {
            let fill = self.fill(fill);
            self.path(&path, &fill, width, dash);
        }
    }

    /// A path in SVG's own words.
    pub fn path(&mut self, d: &str, fill: &str, width: f64, dash: &str) {
        let stroke =
            if width > 0.0 { format!(" stroke=\"{INK}\" stroke-width=\"{}\"", number(width)) } else { String::new() };
        let dash = if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        let _ = writeln!(self.out, "<path d=\"{d}\" fill=\"{fill}\" fill-rule=\"evenodd\"{stroke}{dash}/>");
    }

    /// A wide round-ended stroke, for slots: white with a thin edge.
    pub fn slot(&mut self, d: &str, width: f64) {
        for (colour, w) in [(INK, width + 0.9), ("#fff", (width - 0.9).max(0.3))] {
            let w = number(w);
            let _ = writeln!(
                self.out,
                "<path d=\"{d}\" stroke=\"{colour}\" stroke-width=\"{w}\" stroke-linecap=\"round\"/>"
            );
        }
    }

    /// A straight line.
    pub fn line(&mut self, a: Px, b: Px, width: f64, dash: &str) {
        let d = format!("M{} {}L{} {}", number(a.0), number(a.1), number(b.0), number(b.1));
        self.path(&d, "none", width, dash);
    }

    /// A circle.
    pub fn circle(&mut self, at: Px, radius: f64, fill: Fill, width: f64, dash: &str) {
        let fill = self.fill(fill);
        let dash = if dash.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        let _ = writeln!(
            self.out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"{}\"{dash}/>",
            number(at.0),
            number(at.1),
            number(radius),
            number(width)
        );
    }

    /// A filled dot.
    pub fn dot(&mut self, at: Px, radius: f64) {
        let _ = writeln!(
            self.out,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{INK}\"/>",
            number(at.0),
            number(at.1),
            number(radius)
        );
    }

    /// An empty rectangle.
    pub fn frame(&mut self, frame: Frame, width: f64) {
        let _ = writeln!(
            self.out,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" stroke=\"{INK}\" stroke-width=\"{}\"/>",
            number(frame.left),
            number(frame.top),
            number(frame.width),
            number(frame.height),
            number(width)
        );
    }

    /// Words; `anchor` is `start`, `middle` or `end`. A white edge keeps them legible on hatching.
    pub fn text(&mut self, at: Px, anchor: &str, size: f64, words: &str) {
        let _ = writeln!(
            self.out,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{anchor}\" font-size=\"{}\" fill=\"{INK}\" stroke=\"#fff\" \
             stroke-width=\"4\" paint-order=\"stroke\">{}</text>",
            number(at.0),
            number(at.1),
            number(size),
            escape(words)
        );
    }

    /// A numbered balloon with a thin line to what it marks.
    pub fn balloon(&mut self, anchor: Px, at: Px, radius: f64, label: &str, stands_for: &str) {
        let _ = write!(self.out, "<g data-{stands_for}=\"{label}\">");
        self.line(anchor, at, 0.8, "");
        self.dot(anchor, 1.6);
        self.circle(at, radius, Fill::Paper, 1.1, "");
        let size = if label.len() > 2 { radius * 0.95 } else { radius * 1.15 };
        self.text((at.0, at.1 + size * 0.36), "middle", size, label);
        self.out.push_str("</g>");
    }
}

fn hatch(id: &str, name: &str, degrees: u32) -> String {
    format!(
        "<pattern id=\"{id}-{name}\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate({degrees})\">\
         <rect width=\"7\" height=\"7\" fill=\"#f4f4f4\"/><path d=\"M0 0V7\" stroke=\"#777\" stroke-width=\"1\"/></pattern>\n"
    )
}

fn push_points(path: &mut String, points: &[Px]) {
    for (index, (x, y)) in points.iter().enumerate() {
        let _ = write!(path, "{}{} {}", if index == 0 { 'M' } else { 'L' }, number(*x), number(*y));
    }
}
