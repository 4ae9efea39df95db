//! Words into commands.

use nom::Parser;

use super::codes;
use super::command::{Act, Command, Operation, PlotMode, What};
use super::notes::{note, show};
use super::number;
use super::word::{Word, Words, is_comment};
use crate::length::Unit;
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remarks};

/// Reads the commands of a file.
pub struct CommandReader<'a> {
    pub bytes: &'a [u8],
    pub remarks: Remarks,
    pub commands: Vec<Command>,
    /// One more than may be kept: enough to show that the limit is reached.
    room: usize,
    ended: bool,
    /// Text of a broken word with its line ends taken out.
    joined: Vec<u8>,
}

/// All commands of a file.
pub fn commands(bytes: &[u8], limits: &Limits) -> Result<(Vec<Command>, Remarks), LimitReached> {
    let mut reader = CommandReader {
        bytes,
        remarks: Remarks::default(),
        commands: Vec::with_capacity((bytes.len() / 16).min(1 << 22)),
        room: usize::try_from(limits.vertices).unwrap_or(usize::MAX).saturating_add(1),
        ended: false,
        joined: Vec::new(),
    };
    let mut words = Words::new(bytes);
    while let Some(word) = words.next(&mut reader.remarks) {
        reader.word(word);
        Limits::check("vertices", limits.vertices, reader.commands.len() as u64, word.place.line)?;
        if reader.ended {
            break;
        }
    }
    reader.finish(&words);
    Ok((reader.commands, reader.remarks))
}

impl CommandReader<'_> {
    fn word(&mut self, word: Word) {
        let text = word.text.of(self.bytes);
        let is_extended = matches!(text, [b'A'..=b'Z', b'A'..=b'Z', ..]);
        if word.extended && is_extended {
            self.extended(word);
            return;
        }
        if word.extended {
            note(&mut self.remarks, &codes::PLAIN_IN_BLOCK, word.place, || {
                (show(text), "an extended command between %".into())
            });
        }
        if word.broken && !is_comment(text) {
            let mut joined = std::mem::take(&mut self.joined);
            joined.clear();
            joined.extend(text.iter().filter(|b| !matches!(b, b'\r' | b'\n')));
            self.plain(&word, &joined);
            self.joined = joined;
        } else {
            self.plain(&word, text);
        }
    }

    pub fn push(&mut self, word: &Word, what: What) {
        if self.commands.len() < self.room {
            self.commands.push(Command {
                place: word.place,
                length: word.text.end.saturating_sub(word.text.start),
                what,
            });
        }
    }

    pub fn malformed(&mut self, word: &Word, expected: &str) {
        let text = word.text.of(self.bytes);
        note(&mut self.remarks, &codes::MALFORMED, word.place, || (show(text), expected.into()));
    }

    fn unknown(&mut self, word: &Word) {
        let text = word.text.of(self.bytes);
        note(&mut self.remarks, &codes::UNKNOWN_COMMAND, word.place, || (show(text), "a command of the format".into()));
        self.push(word, What::Unknown);
    }

    pub fn unknown_extended(&mut self, word: &Word) {
        self.unknown(word);
    }

    /// A word of letter codes; several may stand in one word.
    #[inline]
    fn plain(&mut self, word: &Word, text: &[u8]) {
        let mut rest = text;
        let mut operation = Operation::default();
        let mut any = false;
        let mut earlier = false;
        while let [letter, tail @ ..] = rest {
            let coordinate = match letter {
                b'X' => &mut operation.x,
                b'Y' => &mut operation.y,
                b'I' => &mut operation.i,
                b'J' => &mut operation.j,
                _ => {
                    let Some(next) = self.code(word, *letter, tail, &mut operation, &mut any, &mut earlier) else {
                        break;
                    };
                    rest = next;
                    continue;
                }
            };
            any = true;
            if let Ok((next, value)) = number::coordinate(tail) {
                *coordinate = value;
                rest = next;
            } else {
                note(&mut self.remarks, &codes::NO_DIGITS, word.place, || {
                    (show(text), "digits behind each letter".into())
                });
                rest = tail;
            }
        }
        if any {
            if earlier {
                note(&mut self.remarks, &codes::COMBINED_WORD, word.place, || {
                    (format!("{}: several codes in one word", show(text)), String::new())
                });
            }
            self.push(word, What::Operation(operation));
        }
    }

    /// One G, D or M code, or what should not be there. `None` ends the word.
    fn code<'t>(
        &mut self,
        word: &Word,
        letter: u8,
        tail: &'t [u8],
        operation: &mut Operation,
        any: &mut bool,
        earlier: &mut bool,
    ) -> Option<&'t [u8]> {
        if matches!(letter, b' ' | b'\t') {
            note(&mut self.remarks, &codes::STRAY_SPACE, word.place, || {
                ("a blank inside a word".into(), String::new())
            });
            return Some(tail);
        }
        let upper = letter.to_ascii_uppercase();
        if letter.is_ascii_lowercase() && matches!(upper, b'X' | b'Y' | b'I' | b'J') {
            self.style(word);
            let (next, value) = number::coordinate(tail).ok()?;
            match upper {
                b'X' => operation.x = value,
                b'Y' => operation.y = value,
                b'I' => operation.i = value,
                _ => operation.j = value,
            }
            *any = true;
            return Some(next);
        }
        let parsed = if matches!(upper, b'G' | b'D' | b'M') { number::code.parse(tail).ok() } else { None };
        let Some((next, number)) = parsed else {
            self.unknown(word);
            return None;
        };
        let digits = tail.len().saturating_sub(next.len());
        if letter != upper || digits < 2 || (digits > 2 && number < 10) {
            self.style(word);
        }
        match upper {
            b'G' => {
                // The prefixes G54 and G55 have a remark of their own.
                *earlier |= !matches!(number, 54 | 55);
                self.g_code(word, number, next)
            }
            b'D' => {
                self.d_code(word, number, operation, any);
                Some(next)
            }
            _ => {
                self.m_code(word, number);
                (!self.ended).then_some(next)
            }
        }
    }

    fn style(&mut self, word: &Word) {
        let text = word.text.of(self.bytes);
        note(&mut self.remarks, &codes::CODE_STYLE, word.place, || {
            (show(text), "an upper-case letter and two digits".into())
        });
    }

    fn g_code<'t>(&mut self, word: &Word, number: u32, next: &'t [u8]) -> Option<&'t [u8]> {
        let what = match number {
            1 => What::Plot(PlotMode::Linear),
            2 => What::Plot(PlotMode::Clockwise),
            3 => What::Plot(PlotMode::CounterClockwise),
            4 => {
                self.comment(word, next);
                return None;
            }
            36 => What::RegionStart,
            37 => What::RegionEnd,
            54 if next.starts_with(b"D") => {
                note(&mut self.remarks, &codes::SELECT_PREFIX, word.place, || {
                    ("G54 before an aperture number".into(), String::new())
                });
                return Some(next);
            }
            55 => {
                note(&mut self.remarks, &codes::FLASH_PREFIX, word.place, || {
                    ("G55 before a flash".into(), String::new())
                });
                return Some(next);
            }
            70 => What::LegacyUnit(Unit::Inch),
            71 => What::LegacyUnit(Unit::Millimetre),
            74 => What::MultiQuadrant(false),
            75 => What::MultiQuadrant(true),
            90 => What::Incremental(false),
            91 => What::Incremental(true),
            _ => {
                self.unknown(word);
                return Some(next);
            }
        };
        self.push(word, what);
        Some(next)
    }

    fn d_code(&mut self, word: &Word, number: u32, operation: &mut Operation, any: &mut bool) {
        operation.act = match number {
            1 => Some(Act::Draw),
            2 => Some(Act::Move),
            3 => Some(Act::Flash),
            10.. => {
                self.push(word, What::Select(number));
                return;
            }
            _ => {
                self.unknown(word);
                return;
            }
        };
        *any = true;
    }

    fn m_code(&mut self, word: &Word, number: u32) {
        match number {
            0 | 2 => {
                if number == 0 {
                    note(&mut self.remarks, &codes::LEGACY_STOP, word.place, || {
                        ("M00 ends the file".into(), "M02".into())
                    });
                }
                self.push(word, What::End);
                self.ended = true;
            }
            1 => {
                note(&mut self.remarks, &codes::OPTIONAL_STOP, word.place, || {
                    ("M01, which has no effect".into(), String::new())
                });
                self.push(word, What::OptionalStop);
            }
            _ => self.unknown(word),
        }
    }

    /// A comment, its text `behind` the code; one that begins with `#@!` carries an attribute.
    fn comment(&mut self, word: &Word, behind: &[u8]) {
        let whole = word.text.of(self.bytes);
        let solid = |b: &&u8| !matches!(b, b'\r' | b'\n');
        let code = whole.iter().filter(solid).count().saturating_sub(behind.iter().filter(solid).count());
        let last = whole.iter().enumerate().filter(|(_, b)| solid(b)).nth(code.saturating_sub(1));
        let mut text = word.text.without(last.map_or(whole.len(), |(at, _)| at.saturating_add(1)));
        self.push(word, What::Comment(text));
        let spoken = text.of(self.bytes);
        let blanks = |t: &[u8]| t.iter().take_while(|b| b.is_ascii_whitespace()).count();
        let lead = blanks(spoken);
        if !spoken[lead..].starts_with(b"#@!") {
            return;
        }
        let after = lead.saturating_add(3);
        text = text.without(after);
        text = text.without(blanks(text.of(self.bytes)));
        if matches!(text.of(self.bytes), [b'T', b'F' | b'A' | b'O' | b'D', ..]) {
            self.attribute(word, text, true);
        }
    }

    fn finish(&mut self, words: &Words) {
        words.finish(&mut self.remarks);
        if !self.ended {
            note(&mut self.remarks, &codes::MISSING_END, words.place(), || {
                ("the file ends".into(), "M02* as its last word".into())
            });
            return;
        }
        let rest = words.rest();
        let blank = |b: &u8| b.is_ascii_whitespace() || matches!(b, b'*' | b'%' | 0x1A | 0);
        let Some(first) = rest.iter().position(|b| !blank(b)) else { return };
        let place: Place = words.place();
        if rest.windows(3).any(|w| w == b"%FS") {
            note(&mut self.remarks, &codes::SEVERAL_IMAGES, place, || {
                ("another image behind M02".into(), "one image a file".into())
            });
        } else {
            note(&mut self.remarks, &codes::DATA_AFTER_END, place, || {
                (show(&rest[first..]), "nothing behind M02".into())
            });
        }
    }
}
