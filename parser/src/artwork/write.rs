//! Commands back to bytes: one command a line, in the order and wording of the standard.

use super::command::{Act, AttributeKind, Command, FormatWord, ImageSetting, Operation, PlotMode, Text, What, Zeros};
use super::coordinate::Coordinate;
use crate::length::{Decimal, Unit};

/// Writes commands as a file: reading it gives the same commands again, places aside.
///
/// `bytes` is the file the commands were read from; they point into it. Each command stands on a
/// line of its own that ends in LF, each extended one between its own `%`. A word that holds what
/// a command does not keep (an unknown code, a coordinate with a point) is copied as it stands,
/// without the line ends inside it.
#[must_use]
pub fn write_commands(bytes: &[u8], commands: &[Command]) -> Vec<u8> {
    let mut writer = Writer { bytes, out: Vec::with_capacity(bytes.len().min(1 << 26)) };
    for word in commands.chunk_by(|a, b| a.place.offset == b.place.offset) {
        writer.word(word);
    }
    // What begins like a mark of encoding would be taken for one on the first line.
    if writer.out.first().is_some_and(|b| !b.is_ascii()) {
        writer.out.insert(0, b'\n');
    }
    writer.out
}

struct Writer<'a> {
    bytes: &'a [u8],
    out: Vec<u8>,
}

impl Writer<'_> {
    /// The commands of one word.
    fn word(&mut self, commands: &[Command]) {
        let kept = |c: &Command| is_kept(&c.what) && (commands.len() == 1 || c.what != What::End);
        let first = commands.first().filter(|_| !commands.iter().all(kept));
        match first {
            Some(first) => self.as_it_stands(first, commands.len() == 1),
            None => commands.iter().for_each(|c| self.command(c)),
        }
    }

    fn as_it_stands(&mut self, first: &Command, alone: bool) {
        let text = source(first).of(self.bytes);
        let joined: Vec<u8> = text.iter().copied().filter(|b| !matches!(b, b'\r' | b'\n')).collect();
        // A plain word that begins with a coordinate letter would give an operation too.
        let is_extended = alone && matches!(joined.as_slice(), [b'I' | b'J' | b'X' | b'Y', b'A'..=b'Z', ..]);
        if is_extended && first.what == What::Unknown {
            self.extended(&[&joined]);
        } else {
            self.plain(&[&joined]);
        }
    }

    fn plain(&mut self, parts: &[&[u8]]) {
        parts.iter().for_each(|p| self.out.extend_from_slice(p));
        self.out.extend_from_slice(b"*\n");
    }

    fn extended(&mut self, parts: &[&[u8]]) {
        self.out.push(b'%');
        parts.iter().for_each(|p| self.out.extend_from_slice(p));
        self.out.extend_from_slice(b"*%\n");
    }

    fn command(&mut self, command: &Command) {
        let of = |text: Text| text.of(self.bytes);
        match command.what {
            What::Operation(operation) => self.plain(&[operation_word(&operation).as_bytes()]),
            What::Select(number) => self.plain(&[format!("D{number}").as_bytes()]),
            What::Comment(text) => self.plain(&[b"G04", of(text)]),
            What::Aperture { number, template, parameters } => {
                let comma: &[u8] = if of(parameters).is_empty() { b"" } else { b"," };
                let number = format!("ADD{number}");
                self.extended(&[number.as_bytes(), of(template), comma, of(parameters)]);
            }
            What::Macro { name, body } => {
                let parts = [b"%AM", of(name), b"*", of(body), b"%\n"];
                parts.iter().for_each(|p| self.out.extend_from_slice(p));
            }
            What::RepeatOpen { columns, rows, step_x, step_y } => {
                let counts = format!("SRX{columns}Y{rows}I");
                self.extended(&[counts.as_bytes(), of(step_x), b"J", of(step_y)]);
            }
            // The comment before it carries it.
            What::Attribute { in_comment: true, .. } | What::AttributeDelete { in_comment: true, .. } => {}
            What::Attribute { kind, text, .. } => self.extended(&[attribute_letters(kind), of(text)]),
            What::AttributeDelete { name, .. } => self.extended(&[b"TD", of(name)]),
            What::Image { setting, value } => self.extended(&[setting_letters(setting), of(value)]),
            What::Name(_) => self.extended(&[of(source(command))]),
            what => self.fixed(what),
        }
    }

    /// Commands that need nothing of the file's text.
    fn fixed(&mut self, what: What) {
        match what {
            What::Plot(mode) => self.plain(&[plot_word(mode)]),
            What::MultiQuadrant(multi) => self.plain(&[if multi { b"G75" } else { b"G74" }]),
            What::RegionStart => self.plain(&[b"G36"]),
            What::RegionEnd => self.plain(&[b"G37"]),
            What::LegacyUnit(unit) => self.plain(&[if unit == Unit::Inch { b"G70" } else { b"G71" }]),
            What::Incremental(on) => self.plain(&[if on { b"G91" } else { b"G90" }]),
            What::End => self.plain(&[b"M02"]),
            What::OptionalStop => self.plain(&[b"M01"]),
            What::Format(format) => self.extended(&[format_word(&format).as_bytes()]),
            What::Unit(unit) => self.extended(&[if unit == Unit::Inch { b"MOIN" } else { b"MOMM" }]),
            What::Clear(clear) => self.extended(&[if clear { b"LPC" } else { b"LPD" }]),
            What::Mirror { x, y } => self.extended(&[mirror_word(x, y)]),
            What::Rotation(degrees) => self.extended(&[b"LR", decimal(degrees).as_bytes()]),
            What::Scaling(factor) => self.extended(&[b"LS", decimal(factor).as_bytes()]),
            What::BlockOpen(number) => self.extended(&[format!("ABD{number}").as_bytes()]),
            What::BlockClose => self.extended(&[b"AB"]),
            What::RepeatClose => self.extended(&[b"SR"]),
            _ => {}
        }
    }
}

/// The text of the word a command stands in.
fn source(command: &Command) -> Text {
    let start = command.place.offset;
    Text { start, end: start.saturating_add(command.length) }
}

/// Whether a command keeps all that its word says.
fn is_kept(what: &What) -> bool {
    match what {
        What::Unknown => false,
        What::Operation(operation) => {
            let all = [operation.x, operation.y, operation.i, operation.j];
            let says = operation.act.is_some() || all.iter().any(|c| c.is_present());
            says && !all.iter().any(|c| c.has_point() || c.is_huge())
        }
        _ => true,
    }
}

fn operation_word(operation: &Operation) -> String {
    let mut word = String::new();
    for (letter, c) in [('X', operation.x), ('Y', operation.y), ('I', operation.i), ('J', operation.j)] {
        if c.is_present() {
            word.push(letter);
            word.push_str(&coordinate(c));
        }
    }
    word.push_str(match operation.act {
        Some(Act::Draw) => "D01",
        Some(Act::Move) => "D02",
        Some(Act::Flash) => "D03",
        None => "",
    });
    word
}

fn coordinate(c: Coordinate) -> String {
    let sign = if c.value() < 0 { "-" } else { "" };
    format!("{sign}{:0width$}", c.value().unsigned_abs(), width = c.digits() as usize)
}

fn decimal(value: Decimal) -> String {
    let decimals = value.decimals as usize;
    let sign = if value.digits < 0 { "-" } else { "" };
    let digits = format!("{:0width$}", value.digits.unsigned_abs(), width = decimals.saturating_add(1));
    let (whole, part) = digits.split_at(digits.len().saturating_sub(decimals));
    if part.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
}

fn format_word(format: &FormatWord) -> String {
    let zeros = match format.zeros {
        Zeros::LeadingOmitted => "L",
        Zeros::TrailingOmitted => "T",
        Zeros::Unsaid => "",
        // `D` was common for "decimal"; it never was part of the format.
        Zeros::Unknown => "D",
    };
    let notation = if format.incremental { 'I' } else { 'A' };
    let ((xi, xd), (yi, yd)) = (format.x, format.y);
    format!("FS{zeros}{notation}X{xi}{xd}Y{yi}{yd}")
}

const fn plot_word(mode: PlotMode) -> &'static [u8] {
    match mode {
        PlotMode::Linear => b"G01",
        PlotMode::Clockwise => b"G02",
        PlotMode::CounterClockwise => b"G03",
    }
}

const fn mirror_word(x: bool, y: bool) -> &'static [u8] {
    match (x, y) {
        (false, false) => b"LMN",
        (true, false) => b"LMX",
        (false, true) => b"LMY",
        (true, true) => b"LMXY",
    }
}

const fn attribute_letters(kind: AttributeKind) -> &'static [u8] {
    match kind {
        AttributeKind::File => b"TF",
        AttributeKind::Aperture => b"TA",
        AttributeKind::Object => b"TO",
    }
}

const fn setting_letters(setting: ImageSetting) -> &'static [u8] {
    match setting {
        ImageSetting::Polarity => b"IP",
        ImageSetting::AxisSelect => b"AS",
        ImageSetting::Rotation => b"IR",
        ImageSetting::Mirror => b"MI",
        ImageSetting::Offset => b"OF",
        ImageSetting::Scale => b"SF",
    }
}
