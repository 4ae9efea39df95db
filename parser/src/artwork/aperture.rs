//! Aperture definitions: standard templates and macros.

use super::codes;
use super::command::{Command, Text};
use super::macro_;
use super::notes::{note, show};
use super::number;
use super::state::{Reader, Stroke, Tool};
use crate::image::{Aperture, ApertureShape, Hole};
use crate::length::{self, Decimal, Nm, Unit};
use crate::limits::{LimitReached, Limits};
use crate::remark::{Code, Place};

impl Reader<'_> {
    /// `AD`.
    pub fn define_aperture(
        &mut self,
        command: &Command,
        number: u32,
        template: Text,
        parameters: Text,
    ) -> Result<(), LimitReached> {
        let place = command.place;
        if number < 10 {
            note(&mut self.remarks, &codes::APERTURE_NUMBER, place, || {
                (format!("an aperture D{number}"), "a number from 10".into())
            });
            return Ok(());
        }
        let Some(unit) = self.unit() else { return Ok(()) };
        let shape = self.aperture_shape(unit, template, parameters, place)?;
        let stroke = match shape {
            ApertureShape::Circle { hole: Hole::None, .. } | ApertureShape::Unusable => Stroke::Circle,
            ApertureShape::Rectangle { hole: Hole::None, .. } => Stroke::Rectangle,
            _ => Stroke::Other,
        };
        let attributes = self.attributes.aperture_set(place.line)?;
        let index = self.image.apertures.len() as u32;
        Limits::check("objects", self.limits.objects, u64::from(index) + 1, place.line)?;
        self.image.apertures.push(Aperture { number, shape, line: place.line, attributes });
        self.define_tool(number, Tool::Plain { index, stroke, attributes }, place);
        Ok(())
    }

    /// Gives an aperture number its meaning from here on.
    pub fn define_tool(&mut self, number: u32, tool: Tool, place: Place) {
        if self.tools.insert(number, tool).is_some() {
            note(&mut self.remarks, &codes::APERTURE_TWICE, place, || {
                (format!("aperture D{number} defined again"), String::new())
            });
        }
    }

    fn aperture_shape(
        &mut self,
        unit: Unit,
        template: Text,
        parameters: Text,
        place: Place,
    ) -> Result<ApertureShape, LimitReached> {
        let name = joined(template.of(self.bytes));
        let text = joined(parameters.of(self.bytes));
        let Some(values) = numbers(&text) else {
            note(&mut self.remarks, &codes::APERTURE_MALFORMED, place, || {
                (format!("the parameters {}", show(&text)), "decimal numbers with X between them".into())
            });
            return Ok(ApertureShape::Unusable);
        };
        if let [letter @ (b'C' | b'R' | b'O' | b'P')] = name.as_slice() {
            let mut standard = Standard { unit, place, complaints: Vec::new() };
            let shape = standard.shape(*letter, &values);
            for (code, found, expected) in standard.complaints {
                note(&mut self.remarks, code, place, || (found, expected.into()));
            }
            return Ok(shape.unwrap_or(ApertureShape::Unusable));
        }
        self.macro_shape(unit, &name, &values, place)
    }

    fn macro_shape(
        &mut self,
        unit: Unit,
        name: &[u8],
        values: &[Decimal],
        place: Place,
    ) -> Result<ApertureShape, LimitReached> {
        let Some(template) = self.templates.get(name) else {
            note(&mut self.remarks, &codes::MACRO_MISSING, place, || {
                (format!("the template {}", show(name)), "C, R, O, P or a macro defined before".into())
            });
            return Ok(ApertureShape::Unusable);
        };
        let values: Vec<f64> = values.iter().map(|v| v.to_f64()).collect();
        let parts =
            macro_::draw(template, &values, unit.nm() as f64, place, self.limits, &mut self.cost, &mut self.remarks)?;
        if !parts.iter().any(|p| p.adds) {
            note(&mut self.remarks, &codes::APERTURE_ZERO, place, || {
                (format!("the macro {} leaves nothing to draw", show(name)), "a shape with an area".into())
            });
            return Ok(ApertureShape::Unusable);
        }
        Ok(ApertureShape::Macro { parts })
    }

    /// `AM`.
    pub fn define_macro(&mut self, command: &Command, name: Text, body: Text) -> Result<(), LimitReached> {
        let name = joined(name.of(self.bytes));
        let place = command.place;
        let skipped = &self.bytes[place.offset as usize..body.start as usize];
        let line = place.line.saturating_add(macro_::line_ends(skipped));
        let body_place = Place { line, column: 1, offset: body.start };
        let template =
            macro_::compile(body.of(self.bytes), body_place, self.limits, &mut self.cost, &mut self.remarks)?;
        if self.templates.insert(name.clone(), template).is_some() {
            note(&mut self.remarks, &codes::MACRO_TWICE, place, || {
                (format!("macro {} defined again", show(&name)), String::new())
            });
        }
        Ok(())
    }
}

/// Text with line ends and outer blanks taken out.
fn joined(text: &[u8]) -> Vec<u8> {
    text.iter().copied().filter(|b| !matches!(b, b'\r' | b'\n')).collect::<Vec<u8>>().trim_ascii().to_vec()
}

/// Decimals with X between them; a stray X at the end is let pass.
fn numbers(text: &[u8]) -> Option<Vec<Decimal>> {
    if text.is_empty() {
        return Some(Vec::new());
    }
    let text = text.strip_suffix(b"X").unwrap_or(text);
    text.split(|b| *b == b'X').map(|n| number::decimal(n.trim_ascii())).collect()
}

/// Builds one standard aperture.
struct Standard {
    unit: Unit,
    place: Place,
    complaints: Vec<(&'static Code, String, &'static str)>,
}

impl Standard {
    fn complain(&mut self, code: &'static Code, found: impl Into<String>, expected: &'static str) {
        self.complaints.push((code, found.into(), expected));
    }

    fn shape(&mut self, letter: u8, values: &[Decimal]) -> Option<ApertureShape> {
        let sizes = match letter {
            b'C' => 1,
            _ => 2,
        };
        if values.len() < sizes {
            self.complain(
                &codes::APERTURE_MALFORMED,
                format!("template {} with {} parameters", char::from(letter), values.len()),
                "all its sizes",
            );
            return None;
        }
        if letter == b'P' {
            return self.polygon(values);
        }
        let width = self.size(values[0])?;
        let height = if sizes == 2 { self.size(values[1])? } else { width };
        if letter != b'C' && (width == 0 || height == 0) {
            self.complain(
                &codes::APERTURE_ZERO,
                format!("template {} of size zero", char::from(letter)),
                "a size above 0",
            );
            return None;
        }
        let hole = self.hole(&values[sizes..], (width, height), letter)?;
        Some(match letter {
            b'C' => ApertureShape::Circle { diameter: width, hole },
            b'R' => ApertureShape::Rectangle { width, height, hole },
            _ => ApertureShape::Obround { width, height, hole },
        })
    }

    fn polygon(&mut self, values: &[Decimal]) -> Option<ApertureShape> {
        let diameter = self.size(values[0])?;
        if diameter == 0 {
            self.complain(&codes::APERTURE_ZERO, "template P of size zero", "a size above 0");
            return None;
        }
        let corners = values[1].to_f64();
        if corners.fract() != 0.0 || !(3.0..=12.0).contains(&corners) {
            self.complain(&codes::APERTURE_MALFORMED, format!("a polygon of {corners} corners"), "3 to 12");
            return None;
        }
        let degrees = values.get(2).map_or(0.0, |d| d.to_f64());
        // The circle inside the polygon is what a hole must fit in.
        let inside = (diameter as f64 * (std::f64::consts::PI / corners).cos()).floor() as Nm;
        let hole = self.hole(values.get(3..).unwrap_or_default(), (inside, inside), b'P')?;
        Some(ApertureShape::Polygon { diameter, corners: corners as u32, degrees, hole })
    }

    fn size(&mut self, value: Decimal) -> Option<Nm> {
        let nm = value.to_nm(self.unit).filter(|nm| (0..=length::COORDINATE_MAX).contains(nm));
        if nm.is_none() {
            let (found, unit) = (value.to_f64(), self.unit.name());
            self.complain(
                &codes::APERTURE_MALFORMED,
                format!("a size of {found} {unit}"),
                "0 or more, below one metre",
            );
        }
        nm
    }

    /// The hole, of one or two sizes; `None` only where a size cannot be used at all.
    fn hole(&mut self, values: &[Decimal], inside: (Nm, Nm), letter: u8) -> Option<Hole> {
        if values.len() > 2 {
            self.complain(
                &codes::APERTURE_PARAMETERS,
                format!("{} parameters too many", values.len().saturating_sub(2)),
                "the parameters of the template",
            );
        }
        let hole = match values {
            [] => return Some(Hole::None),
            [diameter] => Hole::Round(self.size(*diameter)?),
            [width, height, ..] => Hole::Rectangular(self.size(*width)?, self.size(*height)?),
        };
        if let Hole::Rectangular(..) = hole {
            self.complain(&codes::RECTANGULAR_HOLE, "an aperture with a rectangular hole", "a round hole, or a macro");
        }
        if matches!(hole, Hole::Round(0) | Hole::Rectangular(0, _) | Hole::Rectangular(_, 0)) {
            self.complain(&codes::HOLE_ZERO, "a hole of size zero", "");
            return Some(Hole::None);
        }
        if !fits(hole, inside, letter) {
            let line = self.place.line;
            self.complain(
                &codes::HOLE_OUTSIDE,
                format!("a hole that does not fit in the aperture of line {line}"),
                "a hole strictly inside",
            );
        }
        Some(hole)
    }
}

fn fits(hole: Hole, (width, height): (Nm, Nm), letter: u8) -> bool {
    match hole {
        Hole::None => true,
        Hole::Round(diameter) => diameter < width.min(height),
        Hole::Rectangular(w, h) if letter == b'R' => w < width && h < height,
        Hole::Rectangular(w, h) => {
            (w as f64).hypot(h as f64) < width.min(height) as f64 || (letter == b'O' && in_obround(w, h, width, height))
        }
    }
}

/// Whether a rectangle fits in an obround: its corners must lie inside.
fn in_obround(w: Nm, h: Nm, width: Nm, height: Nm) -> bool {
    let (long, short, along, across) = if width >= height { (width, height, w, h) } else { (height, width, h, w) };
    let straight = long.saturating_sub(short);
    let past = (along.saturating_sub(straight) as f64 / 2.0).max(0.0);
    past.hypot(across as f64 / 2.0) < short as f64 / 2.0
}
