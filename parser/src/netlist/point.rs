//! Records with one point: lands, holes and test locations, and their continuations.

use super::codes;
use super::fields::Layout;
use super::number::{self, Count};
use super::read::{Open, Reader};
use super::record::{Record, first_word, owned, trimmed};
use super::tail;
use super::{Access, FurtherLand, Hole, PointKind, TestPoint};
use crate::point::Point;

impl Reader<'_> {
    pub fn point(&mut self, record: &Record<'_>, kind: PointKind) {
        let Some(point) = self.point_of(record, kind) else { return self.leave_out(record.place.line) };
        let stated = point.net.is_some() || kind == PointKind::Tooling;
        if !stated && trimmed(record.columns(4, 17)).is_empty() {
            self.note(&codes::NET_BLANK, record.at(4), record.columns(4, 41), "a net name or N/C");
        }
        if point.side == Access::Unstated && kind != PointKind::Tooling {
            self.note(&codes::ACCESS, record.at(39), record.columns(32, 49), "A and two digits in columns 39 to 41");
        }
        if kind == PointKind::BlindVia && !point.span.is_some_and(|(first, last)| 0 < first && first < last) {
            self.note(&codes::SPAN, record.at(75), record.columns(68, 80), "two layers, the first the smaller");
        }
        self.out.points.push(point);
        self.open = Open::Point(record.place);
    }

    fn point_of(&mut self, record: &Record<'_>, kind: PointKind) -> Option<TestPoint> {
        let Some(x) = tail::coordinates(record.text) else {
            let expected = "X in column 42 and Y in column 50, each with a number";
            self.note(&codes::NO_COORDINATE, record.at(42), record.text, expected);
            return None;
        };
        let layout = Layout { x };
        if !layout.in_place() {
            let expected = format!("X in column 42, found in column {}", layout.column(Layout::X));
            self.note(&codes::SHIFTED, record.at(layout.column(Layout::X)), record.text, &expected);
        }
        let tail = self.tail(record, layout);
        let at = tail.x.zip(tail.y).filter(|_| !tail.lost).map(|(x, y)| Point::new(x, y))?;
        let (net, behind) = self.net_field(record, layout);
        let net = self.net(record, net);
        let mut point = bare(kind, net, at, record.place.line);
        point.span = tail.layers.first().copied().zip(tail.layers.get(1).copied());
        (point.size_x, point.size_y) = (tail.size_x.unwrap_or(0), tail.size_y.unwrap_or(0));
        (point.rotation_deg, point.mask) = (tail.rotation_deg, tail.mask);
        self.component(record, layout, behind, &mut point);
        self.hole(record, layout, &mut point);
        point.side = self.access(record, layout, b'A');
        Some(point)
    }

    /// The name of the net, and the column behind it.
    fn net_field<'r>(&mut self, record: &Record<'r>, layout: Layout) -> (&'r [u8], usize) {
        if record.column(4) == b' ' && !layout.in_place() {
            return (&[], 4);
        }
        let in_columns = layout.in_place() && (record.column(17) == b' ' || record.column(18) == b' ');
        if in_columns {
            if !trimmed(record.columns(18, 20)).is_empty() {
                self.note(&codes::FIELD_STRAY, record.at(18), record.columns(18, 20), "columns 18 to 20 blank");
            }
            return (trimmed(record.columns(4, 17)), 18);
        }
        let last = layout.column(20);
        let name = first_word(record.columns(4, last.max(4))).0;
        if name.len() > 14 {
            self.note(&codes::NET_LONG, record.at(4), name, "at most 14 characters in columns 4 to 17");
        }
        (name, name.len().saturating_add(4))
    }

    fn component(&mut self, record: &Record<'_>, layout: Layout, behind: usize, point: &mut TestPoint) {
        let from = layout.column(21).max(behind);
        let (dash, end) = (layout.column(27), layout.column(31));
        let (reference, pin) = if matches!(record.column(dash), b'-' | b' ') {
            let pin = record.columns(dash.saturating_add(1), end);
            (trimmed(record.columns(from, dash.saturating_sub(1))), trimmed(pin))
        } else {
            let all = trimmed(record.columns(from, end));
            self.note(&codes::COMPONENT_COLUMNS, record.at(from), all, "- or a blank in column 27");
            (all, &[] as &[u8])
        };
        point.via = reference.eq_ignore_ascii_case(b"VIA");
        point.component = (!point.via && !reference.is_empty()).then(|| owned(reference));
        point.pin = (!pin.is_empty()).then(|| owned(pin));
    }

    /// Columns 32 to 38: mid-net mark and hole.
    fn hole(&mut self, record: &Record<'_>, layout: Layout, point: &mut TestPoint) {
        let mark = |column: usize| record.column(layout.column(column));
        point.mid_net = self.mark(record, layout, 32, b"M").is_some();
        let drilled = self.mark(record, layout, 33, b"D").is_some();
        let plated = self.mark(record, layout, 38, b"PU").map(|letter| letter == b'P');
        let text = record.columns(layout.column(34), layout.column(37));
        let place = record.at(layout.column(33));
        if !drilled {
            if (34..=37).any(|c| mark(c) != b' ') || plated.is_some() {
                self.note(&codes::HOLE_WITHOUT_D, place, text, "D in column 33");
            }
            return;
        }
        let diameter = match number::count(text) {
            Count::Steps(steps) if steps > 0 => number::length(steps, self.unit),
            _ => None,
        };
        if diameter.is_none() {
            self.note(&codes::HOLE_SIZE, place, text, "a diameter above zero in columns 34 to 37");
        }
        point.holes.push(Hole { at: point.at, diameter, plated, line: point.line });
    }

    /// A column that holds one of a few letters, or nothing.
    fn mark(&mut self, record: &Record<'_>, layout: Layout, standard: usize, letters: &[u8]) -> Option<u8> {
        let column = layout.column(standard);
        let found = record.column(column);
        let letter = found.to_ascii_uppercase();
        if found == b' ' {
            return None;
        }
        if !letters.contains(&letter) {
            let expected = format!("{} or a blank in column {standard}", owned(letters));
            self.note(&codes::FIELD_STRAY, record.at(column), record.columns(column, column), &expected);
            return None;
        }
        if found != letter {
            self.note(&codes::LOWER_CASE, record.at(column), record.text, "capitals");
        }
        Some(letter)
    }

    fn access(&mut self, record: &Record<'_>, layout: Layout, letter: u8) -> Access {
        let (from, to) = (layout.column(39), layout.column(41));
        let field = trimmed(record.columns(from, to));
        let read = match field {
            [] => return Access::Unstated,
            [first, digits @ ..] if first.eq_ignore_ascii_case(&letter) && digits.len() == 2 => number::whole(digits),
            _ => None,
        };
        match read.map(u32::try_from) {
            Some(Ok(0)) => Access::Both,
            Some(Ok(layer)) => Access::Layer(layer),
            _ => {
                let expected = format!("{} and two digits in columns 39 to 41", char::from(letter));
                self.note(&codes::FIELD_STRAY, record.at(from), field, &expected);
                Access::Unstated
            }
        }
    }

    /// A record that goes on with the point before it: 017 with a hole, 027 with a land.
    pub fn continued_point(&mut self, record: &Record<'_>, with_hole: bool) {
        if !matches!(self.open, Open::Point(_)) {
            return self.alone(record, "a record 317, 327, 367 or 307 before it");
        }
        let Some(more) = self.point_of(record, PointKind::Surface) else {
            return self.out.unread.push(record.place.line);
        };
        let stated = !trimmed(record.columns(4, 17)).is_empty();
        let net = self.out.points.last().and_then(|p| p.net.clone());
        if stated && net != more.net {
            let expected = format!("net {}", net.as_deref().unwrap_or("N/C"));
            self.note(&codes::CONTINUATION_NET, record.at(4), record.columns(4, 17), &expected);
        }
        let is_land = more.size_x > 0 || !with_hole;
        if more.holes.is_empty() && !is_land {
            self.note(&codes::CONTINUATION_EMPTY, record.place, record.text, "a hole or a size");
            return self.out.unread.push(record.place.line);
        }
        let Some(point) = self.out.points.last_mut() else { return };
        point.holes.extend(more.holes);
        if is_land {
            let TestPoint { at, size_x, size_y, line, .. } = more;
            point.lands.push(FurtherLand { at, size_x, size_y, line });
        }
    }

    /// Remarks on the last point once all of it is known.
    pub fn close_point(&mut self, place: crate::remark::Place) {
        let Some(point) = self.out.points.last() else { return };
        let needs = matches!(point.kind, PointKind::ThroughHole | PointKind::Tooling | PointKind::BlindVia);
        if needs && point.holes.is_empty() {
            self.note(&codes::HOLE_MISSING, place, b"no hole", "D and a diameter in columns 33 to 37");
        }
    }

    /// Where the tester touches (099). Its columns hold more than coordinates, so only those in place are read.
    pub fn test_location(&mut self, record: &Record<'_>) {
        let layout = Layout { x: Layout::X.saturating_sub(1) };
        let mut fields = tail::fields(record.columns(42, 57));
        let mut next = |letter: u8| fields.next().filter(|f| f.letter == letter);
        let (Some(x), Some(y)) = (next(b'X'), next(b'Y')) else {
            let expected = "X in column 42 and Y in column 50, each with a number";
            self.note(&codes::NO_COORDINATE, record.at(42), record.text, expected);
            return self.leave_out(record.place.line);
        };
        let (x, y) = (self.steps(record, &x, 42), self.steps(record, &y, 50));
        let Some((x, y)) = x.zip(y) else { return self.leave_out(record.place.line) };
        let (net, _) = self.net_field(record, layout);
        let net = self.net(record, net);
        let mut point = bare(PointKind::TestLocation, net, Point::new(x, y), record.place.line);
        let location = trimmed(record.columns(22, 37));
        point.location = (!location.is_empty()).then(|| owned(location));
        point.side = self.access(record, layout, b'T');
        self.out.points.push(point);
        self.open = Open::Nothing;
    }
}

fn bare(kind: PointKind, net: Option<String>, at: Point, line: u32) -> TestPoint {
    TestPoint {
        net,
        kind,
        component: None,
        pin: None,
        via: false,
        mid_net: false,
        holes: Vec::new(),
        lands: Vec::new(),
        side: Access::Unstated,
        at,
        size_x: 0,
        size_y: 0,
        rotation_deg: None,
        mask: None,
        span: None,
        location: None,
        line,
    }
}
