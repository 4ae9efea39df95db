//! A figure's SVG on a page: the same drawing as on the screen, as vectors.
//!
//! Only what our own sheets write is understood: paths, circles, rectangles, words, groups and clips.

use krilla::color::rgb;
use krilla::geom::{Path, Point, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::TextDirection;
use roxmltree::{Document, Node};

use super::font::Faces;
use super::path;
use crate::fault::{Fault, Kind, Outcome};

/// Distance between the lines of a hatching, as on the sheet.
const HATCH: f32 = 7.0;

/// A figure ready to be placed.
pub struct Figure<'a> {
    document: Document<'a>,
    /// Its width in its own units.
    pub width: f32,
    /// Its height in its own units.
    pub height: f32,
}

impl<'a> Figure<'a> {
    /// Reads a figure.
    pub fn new(svg: &'a str) -> Outcome<Self> {
        let failed = |e: String| Fault::new(Kind::CouldNotBeChecked, format!("A figure of ours cannot be read: {e}."));
        let document = Document::parse(svg).map_err(|e| failed(e.to_string()))?;
        let size = |name| number(document.root_element(), name);
        let (width, height) = (size("width"), size("height"));
        if width <= 0.0 || height <= 0.0 {
            return Err(failed("it has no size".to_owned()));
        }
        Ok(Self { document, width, height })
    }

    /// Draws it with its upper left corner at a point.
    pub fn draw(&self, surface: &mut Surface<'_>, faces: &Faces, at: (f32, f32), scale: f32) -> Outcome<()> {
        surface.push_transform(&Transform::from_row(scale, 0.0, 0.0, scale, at.0, at.1));
        let mut pen =
            Pen { surface, faces, root: self.document.root_element(), width: self.width, height: self.height };
        let root = pen.root;
        let drawn = pen.children(root);
        pen.surface.pop();
        drawn
    }
}

fn number(node: Node<'_, '_>, name: &str) -> f32 {
    node.attribute(name).and_then(|v| v.parse().ok()).unwrap_or(0.0)
}

struct Pen<'p, 's, 'd> {
    surface: &'p mut Surface<'s>,
    faces: &'p Faces,
    root: Node<'d, 'd>,
    width: f32,
    height: f32,
}

impl Pen<'_, '_, '_> {
    fn children(&mut self, node: Node<'_, '_>) -> Outcome<()> {
        node.children().filter(Node::is_element).try_for_each(|child| self.element(child))
    }

    fn element(&mut self, node: Node<'_, '_>) -> Outcome<()> {
        match node.tag_name().name() {
            "title" | "defs" | "clipPath" => {}
            "g" => self.group(node)?,
            "path" => {
                if let Some((shape, bounds)) = node.attribute("d").and_then(path::path) {
                    self.shape(node, &shape, bounds);
                }
            }
            "circle" => {
                let (x, y, r) = (number(node, "cx"), number(node, "cy"), number(node, "r"));
                if let Some(shape) = path::circle(x, y, r.max(0.01)) {
                    self.shape(node, &shape, [x - r, y - r, x + r, y + r]);
                }
            }
            "rect" => {
                let (x, y, w, h) =
                    (number(node, "x"), number(node, "y"), number(node, "width"), number(node, "height"));
                if let Some(shape) = path::rectangle(x, y, w, h) {
                    self.shape(node, &shape, [x, y, x + w, y + h]);
                }
            }
            "text" => self.words(node),
            other => {
                let what = format!("A figure of ours holds <{other}>, which the PDF cannot show.");
                return Err(Fault::new(Kind::CouldNotBeChecked, what));
            }
        }
        Ok(())
    }

    fn group(&mut self, node: Node<'_, '_>) -> Outcome<()> {
        let clip = node.attribute("clip-path").and_then(|c| self.clip(c));
        if let Some(clip) = &clip {
            self.surface.push_clip_path(clip, &FillRule::NonZero);
        }
        let drawn = self.children(node);
        if clip.is_some() {
            self.surface.pop();
        }
        drawn
    }

    fn clip(&self, reference: &str) -> Option<Path> {
        let id = reference.strip_prefix("url(#")?.strip_suffix(')')?;
        let clip = self.root.descendants().find(|n| n.attribute("id") == Some(id))?;
        let rect = clip.first_element_child()?;
        path::rectangle(number(rect, "x"), number(rect, "y"), number(rect, "width"), number(rect, "height"))
    }

    fn shape(&mut self, node: Node<'_, '_>, shape: &Path, bounds: [f32; 4]) {
        match node.attribute("fill") {
            Some(hatch) if hatch.starts_with("url(") => self.hatched(shape, bounds, hatch.contains("-b)")),
            colour => {
                if let Some(fill) = colour.and_then(colour_of) {
                    self.paint(Some(fill), None);
                    self.surface.draw_path(shape);
                }
            }
        }
        if let Some(stroke) = stroke_of(node) {
            self.paint(None, Some(stroke));
            self.surface.draw_path(shape);
        }
    }

    /// A light ground and slanting lines, cut to the shape.
    fn hatched(&mut self, shape: &Path, bounds: [f32; 4], counter: bool) {
        let [left, top] = [bounds[0].max(0.0), bounds[1].max(0.0)];
        let [right, bottom] = [bounds[2].min(self.width), bounds[3].min(self.height)];
        if right <= left || bottom <= top {
            return;
        }
        self.surface.push_clip_path(shape, &FillRule::EvenOdd);
        self.paint(Some(grey(0xf4)), None);
        if let Some(ground) = path::rectangle(left, top, right - left, bottom - top) {
            self.surface.draw_path(&ground);
        }
        self.paint(None, Some(Stroke { paint: grey(0x77).into(), width: 1.0, ..Stroke::default() }));
        // Lines at 45° lie HATCH apart when they cross the top HATCH × √2 apart.
        let apart = HATCH * std::f32::consts::SQRT_2;
        let height = bottom - top;
        let mut start = ((left - height) / apart).floor() * apart;
        while start < right + height {
            let ends = if counter {
                ((start, top), (start + height, bottom))
            } else {
                ((start, bottom), (start + height, top))
            };
            if let Some(line) = path::line(ends.0, ends.1) {
                self.surface.draw_path(&line);
            }
            start += apart;
        }
        self.surface.pop();
    }

    /// Words with a white edge drawn beneath them; only the words themselves are text.
    fn words(&mut self, node: Node<'_, '_>) {
        let face = self.faces.face(false);
        let text = face.printable(node.text().unwrap_or_default());
        let size = number(node, "font-size");
        let width = face.width(&text, size);
        let x = number(node, "x")
            - match node.attribute("text-anchor") {
                Some("middle") => width / 2.0,
                Some("end") => width,
                _ => 0.0,
            };
        let at = Point::from_xy(x, number(node, "y"));
        let halo = Stroke { paint: grey(0xff).into(), width: 4.0, line_join: LineJoin::Round, ..Stroke::default() };
        let font = face.font.clone();
        self.paint(None, Some(halo));
        self.surface.draw_text(at, font.clone(), size, &text, true, TextDirection::LeftToRight);
        self.paint(Some(grey(0x11)), None);
        self.surface.draw_text(at, font, size, &text, false, TextDirection::LeftToRight);
    }

    fn paint(&mut self, fill: Option<rgb::Color>, stroke: Option<Stroke>) {
        let fill = fill.map(|c| Fill { paint: c.into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd });
        self.surface.set_fill(fill);
        self.surface.set_stroke(stroke);
    }
}

/// A grey.
pub fn grey(value: u8) -> rgb::Color {
    rgb::Color::new(value, value, value)
}

/// `#rgb` or `#rrggbb`.
fn colour_of(text: &str) -> Option<rgb::Color> {
    let hex = text.strip_prefix('#')?;
    let byte = |s: &str| u8::from_str_radix(s, 16).ok();
    match hex.len() {
        3 => {
            let one = |i: usize| byte(&hex[i..=i]).map(|v| v * 17);
            Some(rgb::Color::new(one(0)?, one(1)?, one(2)?))
        }
        6 => Some(rgb::Color::new(byte(&hex[0..2])?, byte(&hex[2..4])?, byte(&hex[4..6])?)),
        _ => None,
    }
}

fn stroke_of(node: Node<'_, '_>) -> Option<Stroke> {
    let colour = node.attribute("stroke").and_then(colour_of)?;
    let width = number(node, "stroke-width");
    let dash = node
        .attribute("stroke-dasharray")
        .map(|list| StrokeDash { array: list.split([' ', ',']).filter_map(|v| v.parse().ok()).collect(), offset: 0.0 });
    let round = node.attribute("stroke-linecap") == Some("round");
    (width > 0.0).then(|| Stroke {
        paint: colour.into(),
        width,
        line_cap: if round { LineCap::Round } else { LineCap::Butt },
        line_join: LineJoin::Round,
        dash: dash.filter(|d| !d.array.is_empty()),
        ..Stroke::default()
    })
}
