//! Macro templates: compiled at their definition, drawn for each aperture that uses them.

use std::collections::BTreeMap;
use std::ops::Range;

use nom::Parser;
use nom::character::complete::char;
use nom::sequence::terminated;

use super::codes;
use super::expression::{self, Compiler, NoValue, Step};
use super::notes::{note, show};
use super::number;
use super::primitive::{self, Complaint, Sketch};
use crate::image::MacroPart;
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remarks};

/// A compiled macro.
#[derive(Clone, Debug, Default)]
pub struct Template {
    words: Vec<MacroWord>,
    /// Ranges of steps, one an expression.
    expressions: Vec<Range<u32>>,
    steps: Vec<Step>,
}

#[derive(Clone, Debug)]
struct MacroWord {
    place: Place,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    Assign { variable: u32, expression: u32 },
    Primitive { code: u32, parameters: Range<u32> },
}

/// What working out macros has cost so far, against the limits.
#[derive(Debug, Default)]
pub struct Cost {
    /// Words and operators.
    pub steps: u64,
    /// Corner points, of macros and regions together.
    pub vertices: u64,
}

impl Cost {
    fn add_steps(&mut self, steps: u64, limits: &Limits, line: u32) -> Result<(), LimitReached> {
        self.steps = self.steps.saturating_add(steps);
        Limits::check("macro_steps", limits.macro_steps, self.steps, line)
    }

    /// Counts corner points against their limit.
    #[inline]
    pub fn add_vertices(&mut self, corners: u64, limits: &Limits, line: u32) -> Result<(), LimitReached> {
        self.vertices = self.vertices.saturating_add(corners);
        Limits::check("vertices", limits.vertices, self.vertices, line)
    }
}

/// Compiles the body of a macro that begins at `place`.
pub fn compile(
    body: &[u8],
    place: Place,
    limits: &Limits,
    cost: &mut Cost,
    remarks: &mut Remarks,
) -> Result<Template, LimitReached> {
    let mut template = Template::default();
    let mut compiler = Compiler::new(limits.nesting);
    let mut at = place;
    for raw in body.split(|b| *b == b'*') {
        // Reserved at once: grown as it comes, a long word would take up to twice its length.
        let mut text: Vec<u8> = Vec::with_capacity(raw.len());
        text.extend(raw.iter().filter(|b| !matches!(b, b'\r' | b'\n')));
        at.line = at.line.saturating_add(lines_before_text(raw));
        let here = Place { column: 1, ..at };
        if !text.trim_ascii().is_empty() && !is_comment(&text) {
            let steps_before = compiler.steps.len();
            compiler.most = (steps_before as u64).saturating_add(limits.macro_steps.saturating_sub(cost.steps));
            word(&mut template, &mut compiler, &text, here, remarks);
            if compiler.too_many {
                cost.add_steps(limits.macro_steps.saturating_add(1), limits, at.line)?;
            }
            if compiler.too_deep {
                let deepest = limits.nesting.min(expression::DEEPEST);
                Limits::check("nesting", deepest, deepest.saturating_add(1), at.line)?;
            }
            let steps = compiler.steps.len().saturating_sub(steps_before).saturating_add(1);
            cost.add_steps(steps as u64, limits, at.line)?;
        }
        at.line = at.line.saturating_add(line_ends(raw).saturating_sub(lines_before_text(raw)));
        at.offset = at.offset.saturating_add(raw.len() as u32).saturating_add(1);
    }
    let habits = [
        (compiler.upper_x, &codes::MACRO_UPPER_X, "X as multiplication sign", "x"),
        (
            compiler.sign_after_operator,
            &codes::MACRO_SIGN,
            "a sign right behind an operator",
            "brackets round the signed operand",
        ),
    ];
    for (_, code, found, expected) in habits.into_iter().filter(|h| h.0) {
        note(remarks, code, place, || (found.into(), expected.into()));
    }
    template.steps = compiler.steps;
    Ok(template)
}

/// Lines a text ends: at CR, LF or CR LF.
pub fn line_ends(text: &[u8]) -> u32 {
    let ends = text.iter().filter(|b| matches!(b, b'\r' | b'\n')).count();
    let pairs = text.windows(2).filter(|w| w == b"\r\n").count();
    u32::try_from(ends.saturating_sub(pairs)).unwrap_or(u32::MAX)
}

fn lines_before_text(text: &[u8]) -> u32 {
    let lead = text.iter().take_while(|b| b.is_ascii_whitespace()).count();
    line_ends(&text[..lead])
}

fn is_comment(text: &[u8]) -> bool {
    matches!(text.trim_ascii_start(), [b'0'] | [b'0', b' ' | b'\t' | b',' | b'A'..=b'Z' | b'a'..=b'z', ..])
}

fn word(template: &mut Template, compiler: &mut Compiler, text: &[u8], place: Place, remarks: &mut Remarks) {
    let blank = text.iter().any(|b| matches!(b, b' ' | b'\t'));
    let cleaned: Vec<u8>;
    let text = if blank {
        note(remarks, &codes::STRAY_SPACE, place, || ("a blank inside a macro word".into(), String::new()));
        cleaned = text.iter().copied().filter(|b| !matches!(b, b' ' | b'\t')).collect();
        &cleaned
    } else {
        text
    };
    let (steps, expressions) = (compiler.steps.len(), template.expressions.len());
    if let Some(kind) = kind(template, compiler, text) {
        template.words.push(MacroWord { place, kind });
        return;
    }
    compiler.steps.truncate(steps);
    template.expressions.truncate(expressions);
    note(remarks, &codes::MACRO_SYNTAX, place, || {
        (show(text), "a primitive with its parameters, or $n=expression".into())
    });
}

fn kind(template: &mut Template, compiler: &mut Compiler, text: &[u8]) -> Option<Kind> {
    if let Ok((rest, variable)) = terminated(expression::variable, char('=')).parse(text) {
        let expression = one(template, compiler, rest)?;
        return Some(Kind::Assign { variable, expression });
    }
    let (rest, code) = number::code(text).ok()?;
    let first = template.expressions.len() as u32;
    let mut rest = rest.strip_prefix(b",")?;
    loop {
        let end = rest.iter().position(|b| *b == b',').unwrap_or(rest.len());
        one(template, compiler, &rest[..end])?;
        match rest.get(end.saturating_add(1)..) {
            Some(more) => rest = more,
            None => break,
        }
    }
    Some(Kind::Primitive { code, parameters: first..template.expressions.len() as u32 })
}

fn one(template: &mut Template, compiler: &mut Compiler, text: &[u8]) -> Option<u32> {
    let start = compiler.steps.len() as u32;
    if !compiler.compile(text) {
        return None;
    }
    let index = template.expressions.len() as u32;
    template.expressions.push(start..compiler.steps.len() as u32);
    Some(index)
}

/// Works a template out with the parameters of an aperture.
pub struct Drawing<'a> {
    template: &'a Template,
    variables: BTreeMap<u32, f64>,
    stack: Vec<f64>,
    unit: f64,
    place: Place,
    remarks: &'a mut Remarks,
}

/// The parts of a macro for one aperture, which is defined at `place`.
pub fn draw(
    template: &Template,
    parameters: &[f64],
    unit: f64,
    place: Place,
    limits: &Limits,
    cost: &mut Cost,
    remarks: &mut Remarks,
) -> Result<Vec<MacroPart>, LimitReached> {
    cost.add_steps(template.words.len().saturating_add(template.steps.len()) as u64, limits, place.line)?;
    let variables = (1..).zip(parameters.iter().copied()).collect();
    let mut drawing = Drawing { template, variables, stack: Vec::new(), unit, place, remarks };
    let mut parts: Vec<MacroPart> = Vec::new();
    for word in &template.words {
        let Some(part) = drawing.word(word) else { continue };
        let corners = part.contours.iter().map(|c| c.edges.len() as u64).sum();
        cost.add_vertices(corners, limits, place.line)?;
        parts.push(part);
    }
    Ok(parts)
}

impl Drawing<'_> {
    fn word(&mut self, word: &MacroWord) -> Option<MacroPart> {
        match &word.kind {
            Kind::Assign { variable, expression } => {
                let value = self.value(*expression, word.place)?;
                if self.variables.insert(*variable, value).is_some() {
                    note(self.remarks, &codes::MACRO_REDEFINED, word.place, || {
                        (format!("${variable} is given a value again"), String::new())
                    });
                }
                None
            }
            Kind::Primitive { code, parameters } => {
                let values: Option<Vec<f64>> = parameters.clone().map(|e| self.value(e, word.place)).collect();
                self.primitive(*code, &values?, word.place)
            }
        }
    }

    fn value(&mut self, expression: u32, place: Place) -> Option<f64> {
        let range = self.template.expressions.get(expression as usize)?;
        let steps = self.template.steps.get(range.start as usize..range.end as usize)?;
        let variables = &self.variables;
        match expression::evaluate(steps, &mut self.stack, |n| variables.get(&n).copied().unwrap_or(0.0)) {
            Ok(value) => Some(value),
            Err(why) => {
                let aperture = self.place.line;
                let (code, found) = match why {
                    NoValue::Division => (&codes::MACRO_DIVISION, "a division by zero"),
                    NoValue::TooLarge => (&codes::MACRO_VALUE, "a value beyond all bounds"),
                };
                note(self.remarks, code, place, || {
                    (format!("{found}, for the aperture of line {aperture}"), String::new())
                });
                None
            }
        }
    }

    fn primitive(&mut self, code: u32, values: &[f64], place: Place) -> Option<MacroPart> {
        let mut complaints: Vec<Complaint> = Vec::new();
        let mut sketch = Sketch::new(self.unit, place.line, &mut complaints);
        let adds = primitive::draw(&mut sketch, code, values);
        let contours = std::mem::take(&mut sketch.contours);
        for (code, found, expected) in complaints {
            note(self.remarks, code, place, || (found, expected));
        }
        Some(MacroPart { adds: adds?, contours })
    }
}
