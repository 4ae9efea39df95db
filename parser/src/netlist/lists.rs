//! Records that list: nets beside each other (379) and stepped images (309).

use super::StepOffset;
use super::codes;
use super::number::{self, Count};
use super::read::{Open, Reader};
use super::record::{Record, trimmed, words};
use super::tail;
use crate::length::Nm;
use crate::limits::LimitReached;
use crate::point::Point;

impl Reader<'_> {
    pub fn adjacency(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        let mut names = words(record.from(4));
        let Some(net) = names.next() else {
            self.note(&codes::ADJACENCY_EMPTY, record.place, record.text, "a net and its neighbours");
            self.leave_out(record.place.line);
            return Ok(());
        };
        if net.len() > 14 {
            self.note(&codes::NET_LONG, record.at(4), net, "at most 14 characters in columns 4 to 17");
        }
        let name = self.head.name(net);
        self.out.adjacency.push((name, Vec::new()));
        self.open = Open::Adjacency;
        self.neighbours(record, names)
    }

    pub fn continued_adjacency(&mut self, record: &Record<'_>) -> Result<(), LimitReached> {
        if !matches!(self.open, Open::Adjacency) {
            self.alone(record, "a record 379 before it");
            return Ok(());
        }
        self.neighbours(record, words(record.from(4)))
    }

    fn neighbours<'r>(
        &mut self,
        record: &Record<'_>,
        names: impl Iterator<Item = &'r [u8]>,
    ) -> Result<(), LimitReached> {
        let mut any = false;
        for name in names {
            any = true;
            self.count(record.place.line)?;
            let name = self.head.name(name);
            if let Some((_, list)) = self.out.adjacency.last_mut() {
                list.push(name);
            }
        }
        if !any {
            self.note(&codes::ADJACENCY_EMPTY, record.place, record.text, "neighbours behind the net");
        }
        Ok(())
    }

    pub fn step(&mut self, record: &Record<'_>) {
        match self.step_of(record) {
            Some(step) => self.out.steps.push(step),
            None => {
                let expected = "MY or blanks, R with 000, 090, 180 or 270, and X and Y with numbers";
                self.note(&codes::STEP_UNREADABLE, record.place, record.text, expected);
                self.out.unread.push(record.place.line);
            }
        }
    }

    fn step_of(&self, record: &Record<'_>) -> Option<StepOffset> {
        let mirror = trimmed(record.columns(4, 7));
        let mirrored = mirror.eq_ignore_ascii_case(b"MY");
        if !mirrored && !mirror.is_empty() {
            return None;
        }
        let turn = match trimmed(record.columns(8, 11)) {
            [] => Some(0),
            [b'R' | b'r', digits @ ..] => number::whole(digits),
            _ => None,
        };
        let clockwise_deg = turn.and_then(|t| u16::try_from(t).ok()).filter(|t| matches!(t, 0 | 90 | 180 | 270))?;
        let mut fields = tail::fields(record.from(12)).filter(|f| f.letter != 0 || !trimmed(f.value).is_empty());
        let (x, y) = (fields.next()?, fields.next()?);
        let ordered = x.letter == b'X' && y.letter == b'Y' && fields.next().is_none();
        let offset = Point::new(self.offset(x.value)?, self.offset(y.value)?);
        ordered.then_some(StepOffset { mirrored, clockwise_deg, offset, line: record.place.line })
    }

    fn offset(&self, text: &[u8]) -> Option<Nm> {
        match number::count(text) {
            Count::Steps(steps) => number::length(steps, self.unit),
            Count::Blank | Count::Unreadable => None,
        }
    }
}
