//! The two faces of the form, and how wide words are in them.

use krilla::text::Font;

use crate::fault::{Fault, Kind, Outcome};

static REGULAR: &[u8] = include_bytes!("../../fonts/DejaVuSans.ttf");
static BOLD: &[u8] = include_bytes!("../../fonts/DejaVuSans-Bold.ttf");

/// One face.
pub struct Face {
    /// For drawing.
    pub font: Font,
    widths: ttf_parser::Face<'static>,
}

/// Both faces.
pub struct Faces {
    regular: Face,
    bold: Face,
}

impl Faces {
    /// Reads the faces that are part of the program.
    pub fn new() -> Outcome<Self> {
        Ok(Self { regular: face(REGULAR)?, bold: face(BOLD)? })
    }

    /// One of the two.
    pub const fn face(&self, bold: bool) -> &Face {
        if bold { &self.bold } else { &self.regular }
    }

    /// Breaks a text at blanks to lines no wider than `width`; words wider than that are cut.
    pub fn lines(&self, text: &str, size: f32, bold: bool, width: f32) -> Vec<String> {
        let face = self.face(bold);
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let tried = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if face.width(&tried, size) <= width {
                line = tried;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                if face.width(&line, size) + face.width(letter.encode_utf8(&mut [0; 4]), size) > width
                    && !line.is_empty()
                {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(letter);
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }
}

fn face(bytes: &'static [u8]) -> Outcome<Face> {
    let failed = || Fault::new(Kind::CouldNotBeChecked, "The form's own font cannot be read.");
    let widths = ttf_parser::Face::parse(bytes, 0).map_err(|_| failed())?;
    Ok(Face { font: Font::new(bytes.into(), 0).ok_or_else(failed)?, widths })
}

impl Face {
    /// How wide a text is, in points.
    pub fn width(&self, text: &str, size: f32) -> f32 {
        let per_em = f32::from(self.widths.units_per_em());
        let advance = |c| {
            let glyph = self.widths.glyph_index(c).unwrap_or(ttf_parser::GlyphId(0));
            f32::from(self.widths.glyph_hor_advance(glyph).unwrap_or(0))
        };
        text.chars().map(advance).sum::<f32>() / per_em * size
    }

    /// The text with letters the face lacks as a question mark, so that nothing prints as an empty box.
    pub fn printable(&self, text: &str) -> String {
        text.chars().map(|c| if self.widths.glyph_index(c).is_some() { c } else { '?' }).collect()
    }
}
