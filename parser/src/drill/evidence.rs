//! What a program says about its own format, and the formats that remain possible.

use super::format::{Digits, PICTURES};
use super::hits::{Format, Zeros};
use super::program::ToolDeclaration;
use crate::length::{Nm, Unit};

/// Tool sizes outside this range speak for a mistaken unit.
const TOOL_SIZES: std::ops::RangeInclusive<Nm> = 50_000..=7_000_000;

/// Statements about the format, each with its line, strongest first.
#[derive(Clone, Debug, Default)]
pub struct Evidence {
    /// `M71` or `M72` before the first hit.
    pub unit_code: Option<(Unit, u32)>,
    /// `INCH` or `METRIC`.
    pub unit_word: Option<(Unit, u32)>,
    /// A comment that describes the format.
    pub unit_comment: Option<(Unit, u32)>,
    /// The unit of tool sizes in comments: a hint only.
    pub unit_of_sizes: Option<(Unit, u32)>,
    /// `LZ` or `TZ`, else a comment.
    pub zeros_word: Option<(Zeros, u32)>,
    /// Zeros by a comment.
    pub zeros_comment: Option<(Zeros, u32)>,
    /// The picture behind `INCH` or `METRIC`.
    pub picture_word: Option<((u32, u32), u32)>,
    /// The picture of a comment.
    pub picture_comment: Option<((u32, u32), u32)>,
    /// The picture tool sizes are padded to: a hint only.
    pub picture_of_sizes: Option<(u32, u32)>,
    /// A comment says that all numbers carry points.
    pub decimal_comment: bool,
    /// What the numbers look like.
    pub digits: Digits,
    /// Numbers without a point are whole units.
    pub whole_units: bool,
    sizes_suit: [bool; 2],
}

const fn index(unit: Unit) -> usize {
    match unit {
        Unit::Millimetre => 0,
        Unit::Inch => 1,
    }
}

const fn other(unit: Unit) -> Unit {
    match unit {
        Unit::Millimetre => Unit::Inch,
        Unit::Inch => Unit::Millimetre,
    }
}

/// The control's own picture of a unit.
const fn default_picture(unit: Unit) -> (u32, u32) {
    match unit {
        Unit::Millimetre => (3, 3),
        Unit::Inch => (2, 4),
    }
}

impl Evidence {
    /// Settles what depends on the whole program, once it is read.
    pub fn settle(&mut self, tools: &[ToolDeclaration]) {
        self.whole_units = self.digits.whole_units_likely()
            && self.zeros_word.is_none()
            && self.picture_word.is_none()
            && self.picture_comment.is_none();
        let sizes: Vec<_> = tools.iter().filter_map(ToolDeclaration::size_with_point).collect();
        for unit in [Unit::Millimetre, Unit::Inch] {
            let suits = |n: &super::words::Number| {
                super::format::literal_nm(n, unit).is_some_and(|nm| nm == 0 || TOOL_SIZES.contains(&nm))
            };
            self.sizes_suit[index(unit)] = sizes.iter().all(suits);
        }
        self.picture_of_sizes = padded_picture(&sizes);
    }

    /// The unit the program states, if it does.
    #[must_use]
    pub fn unit(&self) -> Option<(Unit, u32)> {
        self.unit_code.or(self.unit_word).or(self.unit_comment)
    }

    /// The zeros the program states, if it does.
    #[must_use]
    pub fn zeros(&self) -> Option<(Zeros, u32)> {
        self.zeros_word.or(self.zeros_comment)
    }

    /// The picture the program states, if it does.
    #[must_use]
    pub fn picture(&self) -> Option<((u32, u32), u32)> {
        self.picture_word.or(self.picture_comment)
    }

    /// Whether every number has one meaning once the unit is known.
    #[must_use]
    pub fn all_decimal(&self) -> bool {
        self.digits.all_pointed() || self.whole_units
    }

    /// A statement of another unit than the one that counts, with its line.
    #[must_use]
    pub fn unit_contradiction(&self) -> Option<(Unit, u32)> {
        let (unit, _) = self.unit()?;
        [self.unit_word, self.unit_comment].into_iter().flatten().find(|(u, _)| *u != unit)
    }

    /// Whether the tool sizes would suit only the unit that is not stated.
    #[must_use]
    pub fn sizes_contradict(&self) -> bool {
        let suits = |unit| self.sizes_suit[index(unit)];
        self.unit().is_some_and(|(unit, _)| !suits(unit) && suits(other(unit)))
    }

    /// Whether the digits speak against the zeros stated.
    #[must_use]
    pub fn zeros_doubtful(&self) -> bool {
        !self.all_decimal() && self.zeros().is_some_and(|(zeros, _)| self.digits.speaks_against(zeros))
    }

    /// Whether header and comment state different pictures.
    #[must_use]
    pub fn picture_contradiction(&self) -> Option<u32> {
        let (word, comment) = (self.picture_word?, self.picture_comment?);
        (word.0 != comment.0).then_some(comment.1)
    }

    /// Whether the program settles its own format, without defaults and without contradiction.
    #[must_use]
    pub fn is_full(&self) -> bool {
        let width = self.picture().map(|((integer, decimals), _)| integer.saturating_add(decimals));
        let settled = width.is_some() && (self.zeros().is_some() || self.digits.fixed_width() == width);
        let doubtful = self.unit_contradiction().is_some()
            || self.sizes_contradict()
            || self.zeros_doubtful()
            || self.picture_contradiction().is_some();
        self.unit().is_some() && (self.all_decimal() || settled) && !doubtful
    }

    fn units(&self) -> Vec<Unit> {
        if let Some((unit, _)) = self.unit() {
            let doubtful = self.unit_contradiction().is_some() || self.sizes_contradict();
            return if doubtful { vec![unit, other(unit)] } else { vec![unit] };
        }
        let suits = |unit| self.sizes_suit[index(unit)];
        match (suits(Unit::Inch), suits(Unit::Millimetre)) {
            (true, false) => vec![Unit::Inch],
            (false, true) => vec![Unit::Millimetre],
            _ => {
                let first = self.unit_of_sizes.map_or(Unit::Inch, |(unit, _)| unit);
                vec![first, other(first)]
            }
        }
    }

    fn zero_modes(&self) -> Vec<Zeros> {
        let both = |first| match first {
            Zeros::Leading => vec![Zeros::Leading, Zeros::Trailing],
            Zeros::Trailing => vec![Zeros::Trailing, Zeros::Leading],
        };
        match self.zeros() {
            Some((zeros, _)) if self.zeros_doubtful() => both(zeros),
            Some((zeros, _)) => vec![zeros],
            None => both(self.digits.likely_zeros().unwrap_or(Zeros::Leading)),
        }
    }

    fn pictures(&self, unit: Unit) -> Vec<(u32, u32)> {
        if let Some((picture, _)) = self.picture() {
            let second = self.picture_comment.map(|(p, _)| p).filter(|p| *p != picture);
            return std::iter::once(picture).chain(second).collect();
        }
        self.picture_of_sizes.into_iter().chain([default_picture(unit)]).chain(PICTURES).collect()
    }

    fn plausible(&self, format: &Format) -> bool {
        let width = format.integer.saturating_add(format.decimals);
        let fits = match self.digits.fixed_width() {
            Some(fixed) => fixed == width,
            None => u32::from(self.digits.longest()) <= width,
        };
        (self.picture().is_some() || fits) && self.digits.in_range(format)
    }

    /// The format of the stated unit, gaps filled with the likeliest defaults.
    #[must_use]
    pub fn stated(&self) -> Option<Format> {
        let (unit, _) = self.unit()?;
        let all: Vec<_> = self.all().into_iter().filter(|f| f.unit == unit).collect();
        let likely = all.iter().find(|f| self.all_decimal() || self.plausible(f));
        likely.or(all.first()).copied()
    }

    /// The formats that remain possible, the stated one first; of those that give equal points only one.
    #[must_use]
    pub fn candidates(&self) -> Vec<Format> {
        let all = self.all();
        let mut kept: Vec<Format> = self.stated().into_iter().collect();
        let mut met: Vec<_> = kept.iter().map(|f| (f.unit, self.points(f))).collect();
        for format in &all {
            let points = (format.unit, self.points(format));
            let stands = self.all_decimal() || self.plausible(format);
            if stands && !met.contains(&points) {
                met.push(points);
                kept.push(*format);
            }
        }
        if kept.is_empty() {
            kept.extend(all.first());
        }
        kept
    }

    fn points(&self, format: &Format) -> Vec<i64> {
        if self.whole_units { Vec::new() } else { self.digits.powers(format) }
    }

    fn all(&self) -> Vec<Format> {
        let mut all = Vec::new();
        for unit in self.units() {
            for zeros in self.zero_modes() {
                for (integer, decimals) in self.pictures(unit) {
                    all.push(Format { unit, zeros, integer, decimals });
                }
            }
        }
        all
    }
}

/// The picture that sizes such as `000.02500` are padded to, if all of them are.
fn padded_picture(sizes: &[super::words::Number]) -> Option<(u32, u32)> {
    let picture = |n: &super::words::Number| {
        let decimals = n.decimals?;
        let integer = n.length.saturating_sub(decimals);
        let padded = integer >= 2 && n.leading_zero();
        padded.then_some((u32::from(integer), u32::from(decimals)))
    };
    let first = picture(sizes.first()?)?;
    let usable = first.0.saturating_add(first.1) <= 10;
    (usable && sizes.iter().all(|n| picture(n) == Some(first))).then_some(first)
}
