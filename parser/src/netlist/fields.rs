//! The fields of a point from its coordinates on.

use super::codes;
use super::number::{self, Count};
use super::read::Reader;
use super::record::{Record, trimmed};
use super::tail::{self, Field};
use super::{AngleUnit, MaskCover};
use crate::length::Nm;

/// Columns of the standard, moved by as much as the `X` of the coordinates is.
#[derive(Clone, Copy)]
pub(super) struct Layout {
    /// Where the `X` stands, from 0.
    pub x: usize,
}

impl Layout {
    pub const X: usize = 42;

    pub fn column(self, standard: usize) -> usize {
        self.x.saturating_add(1).saturating_add(standard).saturating_sub(Self::X)
    }

    pub fn in_place(self) -> bool {
        self.column(Self::X) == Self::X
    }
}

/// Where a field belongs.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Where {
    /// In this column of the standard.
    Column(usize),
    /// Where it stands: a habit that is known and remarked.
    Accepted,
    /// Nowhere.
    Strange,
}

/// The fields from the coordinates on.
#[derive(Default)]
pub(super) struct Tail {
    pub x: Option<Nm>,
    pub y: Option<Nm>,
    pub size_x: Option<Nm>,
    pub size_y: Option<Nm>,
    pub rotation_deg: Option<u16>,
    pub mask: Option<MaskCover>,
    pub layers: Vec<u32>,
    /// Whether a coordinate could not be read.
    pub lost: bool,
}

impl Reader<'_> {
    /// Reads fields by their letters up to a coordinate that is lost, or to what stands behind column 80.
    pub fn tail(&mut self, record: &Record<'_>, layout: Layout) -> Tail {
        let mut tail = Tail::default();
        let text = record.from(layout.column(Layout::X));
        for field in tail::fields(text) {
            let column = layout.x.saturating_add(1).saturating_add(field.at);
            if field.small {
                self.note(&codes::LOWER_CASE, record.at(column), record.text, "capitals");
            }
            let read = self.field(record, &field, column, layout, &mut tail);
            if tail.lost || (read == Where::Strange && column > 80) {
                break;
            }
            if let Where::Column(standard) = read
                && layout.column(standard) != column
            {
                let expected = format!("{} in column {standard}", char::from(field.letter));
                self.note(&codes::FIELD_COLUMN, record.at(column), record.from(column), &expected);
            }
        }
        tail
    }

    fn field(
        &mut self,
        record: &Record<'_>,
        field: &Field<'_>,
        column: usize,
        layout: Layout,
        tail: &mut Tail,
    ) -> Where {
        match (field.letter, &*tail) {
            (b'X', Tail { x: None, .. }) => self.coordinate(record, field, column, tail, true),
            (b'Y', Tail { y: None, .. }) => self.coordinate(record, field, column, tail, false),
            (b'X', Tail { size_x: None, .. }) => self.extent(record, field, column, &mut tail.size_x, 58),
            (b'Y', Tail { size_y: None, .. }) => self.extent(record, field, column, &mut tail.size_y, 63),
            (b'R', Tail { rotation_deg: None, .. }) => self.rotation(record, field, column, tail),
            (b'S', Tail { mask: None, .. }) => self.mask(record, field, column, layout, tail),
            (b'L', Tail { layers, .. }) if layers.len() < 2 => self.layer(record, field, column, tail),
            _ => {
                let expected = "X, Y, X, Y, R, S and two L, each once";
                self.note(&codes::FIELD_STRAY, record.at(column), record.from(column), expected);
                Where::Strange
            }
        }
    }

    /// A number of steps as a length; `None` where it cannot be one, with a remark.
    pub fn steps(&mut self, record: &Record<'_>, field: &Field<'_>, column: usize) -> Option<Nm> {
        match number::count(field.value) {
            Count::Blank => None,
            Count::Unreadable => {
                self.note(&codes::NUMBER_UNREADABLE, record.at(column), field.value, "a sign and digits");
                None
            }
            Count::Steps(steps) => {
                let length = number::length(steps, self.unit);
                if length.is_none() {
                    self.note(&codes::OUT_OF_RANGE, record.at(column), field.value, "at most one metre");
                }
                length
            }
        }
    }

    fn coordinate(
        &mut self,
        record: &Record<'_>,
        field: &Field<'_>,
        column: usize,
        tail: &mut Tail,
        is_x: bool,
    ) -> Where {
        let value = self.steps(record, field, column);
        tail.lost |= value.is_none();
        let (place, standard) = if is_x { (&mut tail.x, 42) } else { (&mut tail.y, 50) };
        *place = value;
        Where::Column(standard)
    }

    fn extent(
        &mut self,
        record: &Record<'_>,
        field: &Field<'_>,
        column: usize,
        size: &mut Option<Nm>,
        standard: usize,
    ) -> Where {
        let value = self.steps(record, field, column);
        if value.is_some_and(|v| v < 0) {
            self.note(&codes::NUMBER_UNREADABLE, record.at(column), field.value, "a size without sign");
        }
        if number::count(field.value) == Count::Steps(9999) {
            self.note(&codes::SIZE_FULL, record.at(column), field.value, "a size below 9999 steps");
        }
        *size = Some(value.filter(|v| *v >= 0).unwrap_or(0));
        Where::Column(standard)
    }

    fn rotation(&mut self, record: &Record<'_>, field: &Field<'_>, column: usize, tail: &mut Tail) -> Where {
        let angle = number::whole(trimmed(field.value)).and_then(|a| u16::try_from(a).ok()).filter(|a| *a <= 360);
        if angle.is_none() && !trimmed(field.value).is_empty() {
            self.note(&codes::ROTATION, record.at(column), field.value, "000 to 360");
        }
        if self.head.angle_unit == AngleUnit::Degree {
            tail.rotation_deg = angle.map(|a| if a == 360 { 0 } else { a });
        }
        Where::Column(68)
    }

    fn mask(
        &mut self,
        record: &Record<'_>,
        field: &Field<'_>,
        column: usize,
        layout: Layout,
        tail: &mut Tail,
    ) -> Where {
        tail.mask = match trimmed(field.value) {
            b"0" => Some(MaskCover::None),
            b"1" => Some(MaskCover::Primary),
            b"2" => Some(MaskCover::Secondary),
            b"3" => Some(MaskCover::Both),
            [] => None,
            other => {
                self.note(&codes::MASK_UNKNOWN, record.at(column), other, "0, 1, 2 or 3 behind S");
                None
            }
        };
        if column == layout.column(72) {
            self.note(&codes::MASK_EARLY, record.at(column), record.from(column), "S in column 73");
            return Where::Accepted;
        }
        Where::Column(73)
    }

    fn layer(&mut self, record: &Record<'_>, field: &Field<'_>, column: usize, tail: &mut Tail) -> Where {
        match number::whole(trimmed(field.value)).and_then(|n| u32::try_from(n).ok()) {
            Some(layer) => tail.layers.push(layer),
            None => self.note(&codes::SPAN, record.at(column), field.value, "two digits behind L"),
        }
        Where::Column(if tail.layers.len() < 2 { 75 } else { 78 })
    }
}
