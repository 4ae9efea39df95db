//! Records with lines: conductors (378), outlines (389) and their continuations.

use super::codes;
use super::number::{self, Count};
use super::read::{Open, Reader};
use super::record::{Record, first_word, is_blank, owned, trimmed};
use super::tail::{self, Field};
use super::{Conductor, NetOutline, OutlineKind};
use crate::length::Nm;
use crate::limits::{LimitReached, Limits};
use crate::point::Point;
use crate::remark::Place;

/// What a draft becomes.
pub(super) enum Use {
    Conductor(Option<String>),
    Outline(OutlineKind),
}

/// A conductor or outline being drawn.
pub(super) struct Draft {
    used_as: Use,
    layer: Option<u32>,
    pen: Option<(Nm, Nm)>,
    /// The last coordinates given; an omitted one stays.
    last: (Option<Nm>, Option<Nm>),
    paths: Vec<Vec<Point>>,
    place: Place,
    /// Lines of its records.
    lines: Vec<u32>,
    /// Whether the next corner begins a new path.
    lift: bool,
}

/// Coordinates written together.
#[derive(Default)]
struct Group {
    x: Option<Nm>,
    y: Option<Nm>,
    column: usize,
}

impl Reader<'_> {
    pub fn conductor(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        let layer_in_place = record.column(19).eq_ignore_ascii_case(&b'L');
        let (net, from) = if layer_in_place || record.column(4) == b' ' {
            (trimmed(record.columns(4, 17)), 18)
        } else {
            let word = first_word(record.from(4)).0;
            (word, word.len().saturating_add(4))
        };
        if net.len() > 14 {
            self.note(&codes::NET_LONG, record.at(4), net, "at most 14 characters in columns 4 to 17");
        }
        if net.is_empty() {
            self.note(&codes::NET_BLANK, record.at(4), record.text, "a net name");
        }
        let net = self.net(record, net);
        self.lines(record, from, Use::Conductor(net))
    }

    pub fn outline(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        let word = first_word(record.from(4)).0;
        let kind = match word.to_ascii_uppercase().as_slice() {
            b"BOARD_EDGE" => OutlineKind::Board,
            b"PANEL_EDGE" => OutlineKind::Panel,
            b"SCORE_LINE" => OutlineKind::Score,
            b"OTHER_FAB" => OutlineKind::Other(owned(word)),
            _ => {
                self.note(&codes::OUTLINE_KIND, record.at(4), word, "BOARD_EDGE, PANEL_EDGE, SCORE_LINE or OTHER_FAB");
                OutlineKind::Other(owned(word))
            }
        };
        let blanks = record.from(4).iter().take_while(|b| is_blank(**b)).count();
        self.lines(record, blanks.saturating_add(word.len()).saturating_add(4), Use::Outline(kind))
    }

    fn lines(&mut self, record: &Record<'_>, from: usize, used_as: Use) -> Result<(), LimitReached> {
        let draft = Draft {
            used_as,
            layer: None,
            pen: None,
            last: (None, None),
            paths: Vec::new(),
            place: record.place,
            lines: Vec::new(),
            lift: true,
        };
        self.draw(record, from, draft)
    }

    /// A continuation (078, 089): it may repeat net and layer, and goes on where the line before ended.
    pub fn continued_lines(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        match std::mem::replace(&mut self.open, Open::Nothing) {
            Open::Lines(draft) if record.text.starts_with(b"078") == matches!(draft.used_as, Use::Conductor(_)) => {
                let named = record.column(4) != b' ' && record.column(19).eq_ignore_ascii_case(&b'L');
                self.draw(record, if named { 18 } else { 4 }, *draft)
            }
            other => {
                self.open = other;
                self.alone(record, "a record 378 before 078, and 389 before 089");
                Ok(())
            }
        }
    }

    /// Draws what stands from a column on; what cannot be read costs the whole draft.
    fn draw(&mut self, record: &Record<'_>, from: usize, mut draft: Draft) -> Result<(), LimitReached> {
        draft.lines.push(record.place.line);
        if self.corners(record, from, &mut draft)? {
            self.open = Open::Lines(Box::new(draft));
        } else {
            self.out.unread.extend(draft.lines);
            self.open = Open::LeftOut;
        }
        Ok(())
    }

    fn corners(&mut self, record: &Record<'_>, from: usize, draft: &mut Draft) -> Result<bool, LimitReached> {
        let mut group = Group::default();
        let mut apart = true;
        for field in tail::fields(record.from(from)) {
            let column = from.saturating_add(field.at);
            let begins = match field.letter {
                b'X' => group.x.is_some() || group.y.is_some(),
                b'Y' => group.y.is_some() || apart,
                _ => true,
            };
            if begins && !self.corner(record, std::mem::take(&mut group), draft)? {
                return Ok(false);
            }
            apart = field.value.last().is_some_and(|b| is_blank(*b));
            let value = match field.letter {
                b'X' | b'Y' => match self.corner_value(record, &field, column) {
                    Some(value) => value,
                    None => return Ok(false),
                },
                _ => {
                    self.sign(record, &field, column, draft);
                    continue;
                }
            };
            group.column = column;
            let axis = if field.letter == b'X' { &mut group.x } else { &mut group.y };
            *axis = Some(value);
        }
        self.corner(record, group, draft)
    }

    fn corner_value(&mut self, record: &Record<'_>, field: &Field<'_>, column: usize) -> Option<Nm> {
        let Count::Steps(steps) = number::count(field.value) else {
            self.note(&codes::NUMBER_UNREADABLE, record.at(column), field.value, "a sign and digits");
            return None;
        };
        let length = number::length(steps, self.unit);
        if length.is_none() {
            self.note(&codes::OUT_OF_RANGE, record.at(column), field.value, "at most one metre");
        }
        length
    }

    /// What is no coordinate: the layer, the sign of a new start, or something strange.
    fn sign(&mut self, record: &Record<'_>, field: &Field<'_>, column: usize, draft: &mut Draft) {
        let layer = || number::whole(trimmed(field.value)).and_then(|n| u32::try_from(n).ok()).filter(|n| *n > 0);
        match (field.letter, layer()) {
            (0, _) if trimmed(field.value).is_empty() => {}
            (b'*', _) if trimmed(field.value).is_empty() => draft.lift = true,
            (b'L', Some(layer)) if draft.layer.is_none() => {
                draft.layer = Some(layer);
                if column != 19 {
                    self.note(&codes::FIELD_COLUMN, record.at(column), record.text, "L in column 19");
                }
            }
            (b'L', Some(layer)) if draft.layer == Some(layer) => {}
            _ => self.note(&codes::FIELD_STRAY, record.at(column), record.from(column), "X, Y and * only"),
        }
    }

    /// Takes one group: the first is the pen, the others are corners.
    fn corner(&mut self, record: &Record<'_>, group: Group, draft: &mut Draft) -> Result<bool, LimitReached> {
        if group.x.is_none() && group.y.is_none() {
            return Ok(true);
        }
        if draft.pen.is_none() && draft.paths.is_empty() && group.x.is_some_and(|x| x >= 0) {
            draft.pen = Some((group.x.unwrap_or(0), group.y.unwrap_or(0).max(0)));
            return Ok(true);
        }
        draft.last = (group.x.or(draft.last.0), group.y.or(draft.last.1));
        let (Some(x), Some(y)) = draft.last else {
            self.note(&codes::NO_COORDINATE, record.at(group.column), record.text, "X and Y of the first corner");
            return Ok(false);
        };
        // A path of its own takes the room of four more corners.
        self.vertices = self.vertices.saturating_add(if draft.lift { 5 } else { 1 });
        Limits::check("vertices", self.limits.vertices, self.vertices, record.place.line)?;
        if std::mem::take(&mut draft.lift) {
            draft.paths.push(Vec::new());
        }
        if let Some(path) = draft.paths.last_mut() {
            path.push(Point::new(x, y));
        }
        Ok(true)
    }

    /// Puts a finished draft where it belongs.
    pub fn close_lines(&mut self, draft: Draft) {
        let Draft { used_as, layer, pen, paths, place, lines, .. } = draft;
        if paths.is_empty() {
            self.note(&codes::NO_PATH, place, b"a line without corners", "two corners or more");
            return self.out.unread.extend(lines);
        }
        if paths.iter().any(|p| p.len() < 2) {
            self.note(&codes::ONE_CORNER, place, b"a line of one corner", "two corners or more");
        }
        if pen.is_none() {
            self.note(&codes::PEN_MISSING, place, b"no width", "X and the width before the corners");
        }
        let ((pen_x, pen_y), line) = (pen.unwrap_or_default(), place.line);
        match used_as {
            Use::Conductor(net) => {
                if layer.is_none() {
                    self.note(&codes::LAYER_MISSING, place, b"no layer", "L and two digits in columns 19 to 21");
                }
                self.out.conductors.push(Conductor { net, layer, pen_x, pen_y, paths, line });
            }
            Use::Outline(kind) => self.out.outlines.push(NetOutline { kind, pen_x, pen_y, paths, line }),
        }
    }
}
