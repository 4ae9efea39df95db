//! Words, rules, boxes and figures set one below the other on pages.

use krilla::Document;
use krilla::geom::Point;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke};
use krilla::surface::Surface;
use krilla::text::TextDirection;

use super::figure::{Figure, grey};
use super::font::Faces;
use super::path;
use crate::fault::{Fault, Kind, Outcome};

/// A sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum Paper {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8.5 × 11 inches.
    Letter,
}

impl Paper {
    /// Width and height in points.
    #[must_use]
    pub const fn size(self) -> (f32, f32) {
        match self {
            Self::A4 => (595.28, 841.89),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// White round the text.
const MARGIN: f32 = 42.0;
/// Room for the foot.
const FOOT: f32 = 26.0;
/// Distance between lines over their size.
const LEADING: f32 = 1.32;

enum Op {
    Words { at: (f32, f32), size: f32, bold: bool, text: String },
    WhiteWords { at: (f32, f32), size: f32, text: String },
    Rule { from: (f32, f32), to: (f32, f32), width: f32 },
    Frame { at: (f32, f32), size: (f32, f32), filled: bool },
    Figure { at: (f32, f32), scale: f32, index: usize },
}

/// Pages being filled.
pub struct Flow<'a> {
    faces: &'a Faces,
    figures: &'a [Figure<'a>],
    paper: Paper,
    pages: Vec<Vec<Op>>,
    y: f32,
}

impl<'a> Flow<'a> {
    /// An empty first page.
    pub fn new(faces: &'a Faces, figures: &'a [Figure<'a>], paper: Paper) -> Self {
        Self { faces, figures, paper, pages: vec![Vec::new()], y: MARGIN }
    }

    /// Width of the text.
    pub fn width(&self) -> f32 {
        self.paper.size().0 - 2.0 * MARGIN
    }

    fn bottom(&self) -> f32 {
        self.paper.size().1 - MARGIN - FOOT
    }

    /// Begins a new page unless this much room is left.
    pub fn room(&mut self, height: f32) {
        if self.y + height > self.bottom() && self.y > MARGIN {
            self.pages.push(Vec::new());
            self.y = MARGIN;
        }
    }

    /// Leaves room.
    pub fn gap(&mut self, height: f32) {
        self.y += height;
    }

    fn put(&mut self, op: Op) {
        if let Some(page) = self.pages.last_mut() {
            page.push(op);
        }
    }

    /// A paragraph, `indent` from the left edge.
    pub fn paragraph(&mut self, text: &str, size: f32, bold: bool, indent: f32) {
        let lines = self.faces.lines(text, size, bold, self.width() - indent);
        for line in lines {
            self.room(size * LEADING);
            self.put(Op::Words { at: (MARGIN + indent, self.y + size), size, bold, text: line });
            self.y += size * LEADING;
        }
    }

    /// How high a paragraph would be.
    pub fn height(&self, text: &str, size: f32, bold: bool, indent: f32) -> f32 {
        self.faces.lines(text, size, bold, self.width() - indent).len() as f32 * size * LEADING
    }

    /// A heading with a line under it, kept with what follows.
    pub fn heading(&mut self, text: &str) {
        self.gap(10.0);
        self.room(60.0);
        self.paragraph(text, 12.5, true, 0.0);
        self.rule(1.0);
        self.gap(4.0);
    }

    /// A line across.
    pub fn rule(&mut self, width: f32) {
        let y = self.y + 1.5;
        self.put(Op::Rule { from: (MARGIN, y), to: (MARGIN + self.width(), y), width });
        self.y += 4.0;
    }

    /// A label and what stands behind it; an empty value leaves a line to write on.
    pub fn pair(&mut self, label: &str, value: &str) {
        const LABEL: f32 = 118.0;
        const SIZE: f32 = 9.0;
        self.room(SIZE * LEADING);
        self.put(Op::Words { at: (MARGIN, self.y + SIZE), size: SIZE, bold: false, text: label.to_owned() });
        if value.is_empty() {
            let y = self.y + SIZE + 2.0;
            self.put(Op::Rule { from: (MARGIN + LABEL, y), to: (MARGIN + self.width(), y), width: 0.5 });
            self.y += SIZE * LEADING + 3.0;
        } else {
            self.paragraph(value, SIZE, true, LABEL);
        }
    }

    /// A box to tick and a paragraph beside it, kept on one page.
    pub fn choice(&mut self, text: &str, small: &str) {
        const SIZE: f32 = 9.0;
        const INDENT: f32 = 16.0;
        let height = self.height(text, SIZE, false, INDENT) + self.height(small, 7.5, false, INDENT);
        self.room(height + 3.0);
        self.put(Op::Frame { at: (MARGIN + 1.0, self.y + 1.5), size: (8.5, 8.5), filled: false });
        self.paragraph(text, SIZE, false, INDENT);
        self.paragraph(small, 7.5, false, INDENT);
        self.gap(3.0);
    }

    /// Places to write on, each with its caption below the line.
    pub fn blanks(&mut self, captions: &[&str]) {
        self.room(34.0);
        self.gap(20.0);
        let each = self.width() / captions.len().max(1) as f32;
        for (i, caption) in captions.iter().enumerate() {
            let x = MARGIN + each * i as f32;
            self.put(Op::Rule { from: (x, self.y), to: (x + each - 12.0, self.y), width: 0.6 });
            self.put(Op::Words { at: (x, self.y + 9.0), size: 7.5, bold: false, text: (*caption).to_owned() });
        }
        self.gap(14.0);
    }

    /// Rows in columns; `shares` are parts of the width. The head is repeated on every page.
    pub fn table(&mut self, shares: &[f32], head: &[&str], rows: &[Vec<String>]) {
        let head: Vec<String> = head.iter().map(|h| (*h).to_owned()).collect();
        self.room(40.0);
        self.row(shares, &head, true);
        for row in rows {
            let page = self.pages.len();
            let height = self.row_height(shares, row, false);
            self.room(height);
            if self.pages.len() > page {
                self.row(shares, &head, true);
            }
            self.row(shares, row, false);
        }
        self.gap(4.0);
    }

    fn cells(&self, shares: &[f32], row: &[String], bold: bool) -> Vec<(f32, Vec<String>)> {
        const SIZE: f32 = 7.8;
        let mut x = 0.0;
        let mut out = Vec::new();
        for (share, cell) in shares.iter().zip(row) {
            let width = self.width() * share;
            out.push((x, self.faces.lines(cell, SIZE, bold, width - 6.0)));
            x += width;
        }
        out
    }

    fn row_height(&self, shares: &[f32], row: &[String], bold: bool) -> f32 {
        let lines = self.cells(shares, row, bold).iter().map(|(_, l)| l.len()).max().unwrap_or(0);
        lines.max(1) as f32 * 7.8 * 1.25 + 3.0
    }

    fn row(&mut self, shares: &[f32], row: &[String], bold: bool) {
        let (top, height) = (self.y, self.row_height(shares, row, bold));
        for (x, lines) in self.cells(shares, row, bold) {
            for (i, text) in lines.into_iter().enumerate() {
                let y = top + 7.8 * (1.0 + 1.25 * i as f32);
                self.put(Op::Words { at: (MARGIN + x, y), size: 7.8, bold, text });
            }
        }
        self.y = top + height;
        let y = self.y - 1.0;
        let width = if bold { 0.9 } else { 0.3 };
        self.put(Op::Rule { from: (MARGIN, y), to: (MARGIN + self.width(), y), width });
    }

    /// A figure as large as fits into a width and a height, in the middle.
    pub fn figure(&mut self, index: usize, width: f32, height: f32) {
        let Some(figure) = self.figures.get(index) else { return };
        let scale = (width / figure.width).min(height / figure.height);
        let (w, h) = (figure.width * scale, figure.height * scale);
        self.room(h + 4.0);
        let x = MARGIN + (self.width() - w) / 2.0;
        self.put(Op::Figure { at: (x, self.y), scale, index });
        self.y += h + 6.0;
    }

    /// Figures side by side, as large as the width allows and no higher than this.
    pub fn abreast(&mut self, indices: &[usize], height: f32) {
        const BETWEEN: f32 = 10.0;
        let count = indices.len().max(1) as f32;
        let wide = (self.width() - BETWEEN * (count - 1.0)) / count;
        let sized: Vec<(usize, f32, f32)> = indices
            .iter()
            .filter_map(|i| {
                let figure = self.figures.get(*i)?;
                let scale = (wide / figure.width).min(height / figure.height);
                Some((*i, scale, figure.height * scale))
            })
            .collect();
        let high = sized.iter().map(|s| s.2).fold(0.0, f32::max);
        self.room(high + 4.0);
        for (place, (index, scale, _)) in sized.into_iter().enumerate() {
            let figure = self.figures[index].width * scale;
            let x = MARGIN + place as f32 * (wide + BETWEEN) + (wide - figure) / 2.0;
            self.put(Op::Figure { at: (x, self.y), scale, index });
        }
        self.y += high + 6.0;
    }

    /// A word in a box, white on black where it is grave, at the right end of the last line.
    pub fn badge(&mut self, text: &str, grave: bool) {
        let size = 8.0;
        let width = self.faces.face(true).width(text, size);
        let x = MARGIN + self.width() - width - 10.0;
        let y = self.y;
        self.put(Op::Frame { at: (x, y), size: (width + 10.0, 12.0), filled: grave });
        let (at, text) = ((x + 5.0, y + 9.0), text.to_owned());
        self.put(if grave { Op::WhiteWords { at, size, text } } else { Op::Words { at, size, bold: true, text } });
        self.y += 14.0;
    }

    /// Writes all pages; `foot` stands at the left of each foot, the page's number at its right.
    pub fn finish(self, document: &mut Document, foot: &str) -> Outcome<()> {
        let (width, height) = self.paper.size();
        let failed = || Fault::new(Kind::CouldNotBeChecked, "A page of the form cannot be made.");
        let total = self.pages.len();
        for (number, ops) in self.pages.iter().enumerate() {
            let mut page = document.start_page_with(PageSettings::from_wh(width, height).ok_or_else(failed)?);
            let mut surface = page.surface();
            for op in ops {
                self.draw(&mut surface, op)?;
            }
            let right = format!("page {} of {total}", number + 1);
            let y = height - MARGIN;
            let x = width - MARGIN - self.faces.face(false).width(&right, 8.0);
            self.rule_at(&mut surface, (MARGIN, y - 12.0), (width - MARGIN, y - 12.0), 0.5);
            self.words(&mut surface, (MARGIN, y), 8.0, false, foot);
            self.words(&mut surface, (x, y), 8.0, false, &right);
            surface.finish();
            page.finish();
        }
        Ok(())
    }

    fn draw(&self, surface: &mut Surface<'_>, op: &Op) -> Outcome<()> {
        match op {
            Op::Words { at, size, bold, text } => self.words(surface, *at, *size, *bold, text),
            Op::WhiteWords { at, size, text } => self.shaded(surface, *at, *size, true, text, 0xff),
            Op::Rule { from, to, width } => self.rule_at(surface, *from, *to, *width),
            Op::Frame { at, size, filled } => {
                if let Some(shape) = path::rectangle(at.0, at.1, size.0, size.1) {
                    let ink = Fill { paint: grey(0x11).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero };
                    surface.set_fill(filled.then_some(ink));
                    surface.set_stroke(Some(Stroke { paint: grey(0x11).into(), width: 0.9, ..Stroke::default() }));
                    surface.draw_path(&shape);
                }
            }
            Op::Figure { at, scale, index } => {
                if let Some(figure) = self.figures.get(*index) {
                    figure.draw(surface, self.faces, *at, *scale)?;
                }
            }
        }
        Ok(())
    }

    fn rule_at(&self, surface: &mut Surface<'_>, from: (f32, f32), to: (f32, f32), width: f32) {
        if let Some(line) = path::line(from, to) {
            surface.set_fill(None);
            surface.set_stroke(Some(Stroke { paint: grey(0x11).into(), width, ..Stroke::default() }));
            surface.draw_path(&line);
        }
    }

    fn words(&self, surface: &mut Surface<'_>, at: (f32, f32), size: f32, bold: bool, text: &str) {
        self.shaded(surface, at, size, bold, text, 0x11);
    }

    fn shaded(&self, surface: &mut Surface<'_>, at: (f32, f32), size: f32, bold: bool, text: &str, shade: u8) {
        let face = self.faces.face(bold);
        let fill = Fill { paint: grey(shade).into(), opacity: NormalizedF32::ONE, rule: FillRule::NonZero };
        surface.set_fill(Some(fill));
        surface.set_stroke(None);
        let at = Point::from_xy(at.0, at.1);
        let text = face.printable(text);
        surface.draw_text(at, face.font.clone(), size, &text, false, TextDirection::LeftToRight);
    }
}
