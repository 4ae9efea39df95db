//! Header lines, and settings wherever they stand.

use super::codes;
use super::comment;
use super::hits::Zeros;
use super::read::{Phase, Reader, quoted};
use super::words;
use crate::length::Unit;
use crate::limits::LimitReached;
use crate::remark::Place;

/// Header words that set up the machine and leave the holes alone.
const SET_UP: [&[u8]; 34] = [
    b"AFS",
    b"ATC",
    b"BLKD",
    b"CCW",
    b"CP",
    b"DETECT",
    b"DN",
    b"DTMDIST",
    b"EXDA",
    b"FSB",
    b"HPCK",
    b"NCSL",
    b"OM48",
    b"OSTOP",
    b"OTCLMP",
    b"PCKPARAM",
    b"PF",
    b"PPR",
    b"PVS",
    b"R",
    b"SBK",
    b"SG",
    b"SIXM",
    b"TCST",
    b"UP",
    b"VER",
    b"Z",
    b"ZA",
    b"ZC",
    b"ZS",
    b"FMAT",
    b"ICI",
    b"INCH",
    b"METRIC",
];

impl Reader<'_> {
    pub(super) fn header_line(&mut self, place: Place, text: &[u8]) -> Result<(), LimitReached> {
        let second = text.get(1).copied().unwrap_or(b' ');
        let numeric = second.is_ascii_digit() || matches!(second, b'+' | b'-' | b'.' | b' ');
        match text.first().map(u8::to_ascii_uppercase) {
            Some(b'X' | b'Y') if numeric => {
                let found = format!("the header goes on to {}", quoted(text));
                self.remarks.note(&codes::HEADER_OPEN, place, found, "% before the first coordinate");
                self.phase = Phase::Body;
                self.body_line(place, text)
            }
            Some(b'M') if text.eq_ignore_ascii_case(b"M95") => {
                self.lines.retain(|line| !line.in_header || line.tool.is_none());
                self.phase = Phase::Body;
                Ok(())
            }
            Some(b'T') if second.is_ascii_digit() => self.word_line(place, text),
            Some(b'G' | b'M') if second.is_ascii_digit() => self.body_line(place, text),
            _ => {
                let upper = text.to_ascii_uppercase();
                self.setting(place, text, &upper)
            }
        }
    }

    /// A setting such as `METRIC,TZ`.
    pub(super) fn setting(&mut self, place: Place, text: &[u8], upper: &[u8]) -> Result<(), LimitReached> {
        let mut fields = upper.split(|b| *b == b',').map(<[u8]>::trim_ascii);
        let name = fields.next().unwrap_or_default();
        let rest: Vec<&[u8]> = fields.collect();
        match name {
            b"INCH" => self.unit_word(place, Unit::Inch, &rest),
            b"METRIC" => self.unit_word(place, Unit::Millimetre, &rest),
            b"FMAT" => self.command_set = rest.first().and_then(|v| small(v)),
            b"VER" if rest.first().and_then(|v| small(v)) != Some(1) => {
                self.remarks.note(&codes::AXIS_VERSION, place, quoted(text), "VER,1");
            }
            b"ICI" => {
                let off = rest.first() == Some(&b"OFF".as_slice());
                return self.push_code(place, b'G', if off { 90 } else { 91 });
            }
            b"LZ" => self.zeros_word(place, Zeros::Leading),
            b"TZ" => self.zeros_word(place, Zeros::Trailing),
            _ => self.set_up(place, text, name),
        }
        Ok(())
    }

    fn set_up(&mut self, place: Place, text: &[u8], name: &[u8]) {
        let letters = words::name(name);
        let shifts = matches!(letters, b"Z" | b"ZA" | b"ZC" | b"ZS") && text.iter().any(u8::is_ascii_digit);
        let code = if shifts {
            &codes::ZERO_SHIFT
        } else if SET_UP.contains(&letters) || text.first().is_some_and(|b| b.is_ascii_digit() || *b == b'/') {
            &codes::SETUP
        } else if self.phase == Phase::Header {
            &codes::HEADER_WORD
        } else {
            &codes::MALFORMED
        };
        self.remarks.note(code, place, quoted(text), "");
    }

    fn unit_word(&mut self, place: Place, unit: Unit, rest: &[&[u8]]) {
        self.note_unit(place, unit, false);
        for field in rest.iter().filter(|f| !f.is_empty()) {
            match *field {
                b"LZ" => self.zeros_word(place, Zeros::Leading),
                b"TZ" => self.zeros_word(place, Zeros::Trailing),
                digits => self.picture_word(place, digits),
            }
        }
    }

    fn zeros_word(&mut self, place: Place, zeros: Zeros) {
        let kept = self.evidence.zeros_word.get_or_insert((zeros, place.line));
        if kept.0 != zeros {
            let expected = format!("the zeros of line {}", kept.1);
            self.remarks.note(&codes::ZEROS_DOUBTFUL, place, "LZ and TZ are both stated", expected);
        }
    }

    /// A picture such as `000.000`.
    fn picture_word(&mut self, place: Place, field: &[u8]) {
        let only_zeros = field.iter().all(|b| matches!(b, b'0' | b'.'));
        let mut parts = field.splitn(2, |b| *b == b'.').map(<[u8]>::len);
        let counts = parts.next().zip(parts.next()).map(|(integer, decimals)| format!("{integer}:{decimals}"));
        match counts.filter(|_| only_zeros).and_then(|c| comment::picture(c.as_bytes())) {
            Some(picture) => {
                self.evidence.picture_word.get_or_insert((picture, place.line));
            }
            None => {
                let expected = "LZ, TZ or a picture such as 000.000";
                self.remarks.note(&codes::HEADER_WORD, place, quoted(field), expected);
            }
        }
    }

    /// A unit stated by a word or a code; behind the first hit it can only contradict.
    pub(super) fn note_unit(&mut self, place: Place, unit: Unit, by_code: bool) {
        let known = self.evidence.unit();
        let differs = known.is_some_and(|(u, _)| u != unit);
        if self.work_seen {
            // Without an earlier statement the hits before were read by the control's default.
            if differs || known.is_none() {
                let found = format!("the unit is set to {} after the first coordinate", unit.name());
                self.remarks.note(&codes::UNIT_MID_FILE, place, found, "one unit, set before the first coordinate");
            }
            if known.is_some() {
                return;
            }
        }
        if let Some((earlier, line)) = known.filter(|_| differs) {
            let found = format!("the unit is set to {}", unit.name());
            let expected = format!("{}, as on line {line}; the later one was used", earlier.name());
            self.remarks.note(&codes::UNIT_CONTRADICTS, place, found, expected);
        }
        let slot = if by_code { &mut self.evidence.unit_code } else { &mut self.evidence.unit_word };
        *slot = Some((unit, place.line));
    }
}

fn small(digits: &[u8]) -> Option<u32> {
    std::str::from_utf8(digits).ok()?.parse().ok()
}
