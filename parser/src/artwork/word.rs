//! The file cut into words: everything between `*` and `%`, tolerant of how it is broken into lines.

use super::codes;
use super::command::Text;
use super::notes::{note, show};
use crate::remark::{Place, Remarks};

/// One word.
#[derive(Clone, Copy, Debug)]
pub struct Word {
    /// Where its text stands, without the `*`.
    pub text: Text,
    /// Where it begins.
    pub place: Place,
    /// Inside `%`.
    pub extended: bool,
    /// Line ends stand inside it.
    pub broken: bool,
}

/// Walks the words of a file.
pub struct Words<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    line_start: usize,
    in_block: bool,
    block_place: Place,
}

impl<'a> Words<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        let at = if bytes.starts_with(b"\xEF\xBB\xBF") { 3 } else { 0 };
        Self { bytes, at, line: 1, line_start: 0, in_block: false, block_place: Place::default() }
    }

    /// Where the reader stands.
    pub fn place(&self) -> Place {
        let column = (self.at.saturating_sub(self.line_start) as u32).saturating_add(1);
        Place { line: self.line, column, offset: self.at as u32 }
    }

    /// What has not been read yet.
    pub fn rest(&self) -> &'a [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }

    #[inline]
    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    #[inline]
    fn pass(&mut self, count: usize) {
        self.at = self.at.saturating_add(count);
    }

    /// Passes one line end: CR, LF or CR LF.
    fn new_line(&mut self) {
        let two = self.rest().starts_with(b"\r\n");
        self.pass(if two { 2 } else { 1 });
        self.line = self.line.saturating_add(1);
        self.line_start = self.at;
    }

    /// Moves to `end`, counting lines.
    fn pass_to(&mut self, end: usize) {
        while self.at < end {
            match self.peek() {
                Some(b'\r' | b'\n') => self.new_line(),
                _ => self.pass(1),
            }
        }
    }

    /// The next word that is not empty.
    pub fn next(&mut self, remarks: &mut Remarks) -> Option<Word> {
        loop {
            match self.peek()? {
                b'\r' | b'\n' => self.new_line(),
                b' ' | b'\t' => {
                    note(remarks, &codes::STRAY_SPACE, self.place(), || {
                        ("a blank between words".into(), String::new())
                    });
                    self.pass(1);
                }
                b'*' => {
                    note(remarks, &codes::EMPTY_WORD, self.place(), || {
                        ("a word without content".into(), String::new())
                    });
                    self.pass(1);
                }
                b'%' => self.percent(remarks),
                _ => {
                    if let Some(word) = self.word(remarks) {
                        return Some(word);
                    }
                }
            }
        }
    }

    /// A `%` opens or closes; one that can only open, opens.
    fn percent(&mut self, remarks: &mut Remarks) {
        let opens = matches!(self.rest(), [_, b'A'..=b'Z', b'A'..=b'Z', ..]);
        let place = self.place();
        if self.in_block && opens {
            note(remarks, &codes::BLOCK_PERCENT, self.block_place, || {
                ("an extended command whose % is never closed".into(), "% behind its last *".into())
            });
        } else {
            self.in_block = !self.in_block;
        }
        self.block_place = place;
        self.pass(1);
    }

    fn word(&mut self, remarks: &mut Remarks) -> Option<Word> {
        let (start, place) = (self.at, self.place());
        let (end, broken) = self.end_of_word(remarks);
        let text = Text { start: start as u32, end: end as u32 };
        if broken {
            self.pass_to(end);
        } else {
            self.at = end;
        }
        match self.peek() {
            Some(b'*') => self.pass(1),
            Some(_) if self.is_macro(start) => {}
            Some(_) => note(remarks, &codes::UNTERMINATED, place, || {
                (show(text.of(self.bytes)), "* at the end of the word".into())
            }),
            None => return self.last_word(remarks, text, place, broken),
        }
        Some(Word { text, place, extended: self.in_block, broken })
    }

    /// The file ends inside a word: only an end-of-file code can still be trusted.
    fn last_word(&self, remarks: &mut Remarks, text: Text, place: Place, broken: bool) -> Option<Word> {
        let shown = text.of(self.bytes);
        if matches!(shown.trim_ascii_end(), b"M02" | b"M2" | b"M00") {
            note(remarks, &codes::UNTERMINATED, place, || (show(shown), "* at the end of the word".into()));
            return Some(Word { text, place, extended: false, broken });
        }
        if !shown.iter().all(|b| b.is_ascii_whitespace() || *b == 0x1A) {
            note(remarks, &codes::TRUNCATED, place, || {
                (format!("the file ends inside the word {}", show(shown)), "* at the end of the word".into())
            });
        }
        None
    }

    fn is_macro(&self, start: usize) -> bool {
        self.in_block && self.bytes[start..].starts_with(b"AM")
    }

    /// Where the word ends and whether line ends stand inside it.
    fn end_of_word(&self, remarks: &mut Remarks) -> (usize, bool) {
        let rest = self.rest();
        let end = if self.is_macro(self.at) {
            rest.iter().position(|b| *b == b'%')
        } else if is_comment(rest) {
            self.end_of_comment(rest, remarks)
        } else {
            return self.end_of_plain(rest);
        };
        let text = end.and_then(|end| rest.get(..end)).unwrap_or(rest);
        (self.at.saturating_add(text.len()), text.iter().any(|b| matches!(b, b'\r' | b'\n')))
    }

    #[inline]
    fn end_of_plain(&self, rest: &[u8]) -> (usize, bool) {
        let mut broken = false;
        for (i, b) in rest.iter().enumerate() {
            match b {
                b'*' | b'%' => return (self.at.saturating_add(i), broken),
                b'\r' | b'\n' => broken = true,
                _ => {}
            }
        }
        (self.bytes.len(), broken)
    }

    /// A comment runs to its `*`; a `%` at the start of a line shows that the `*` is missing.
    fn end_of_comment(&self, rest: &[u8], remarks: &mut Remarks) -> Option<usize> {
        let mut before = b' ';
        for (i, b) in rest.iter().enumerate() {
            match b {
                b'*' => return Some(i),
                b'%' if self.in_block || matches!(before, b'\r' | b'\n') => return Some(i),
                b'%' => note(remarks, &codes::COMMENT_PERCENT, self.place(), || {
                    ("a comment with % in it".into(), String::new())
                }),
                _ => {}
            }
            before = *b;
        }
        None
    }

    /// Remarks on what the end of the file leaves open.
    pub fn finish(&self, remarks: &mut Remarks) {
        if self.in_block {
            note(remarks, &codes::BLOCK_PERCENT, self.block_place, || {
                ("an extended command whose % is never closed".into(), "% behind its last *".into())
            });
        }
    }
}

/// Whether a word is a comment: `G04`, also `G4` or `G004`.
pub fn is_comment(rest: &[u8]) -> bool {
    let [b'G' | b'g', digits @ ..] = rest else { return false };
    let mut behind_zeros = digits.iter().skip_while(|b| **b == b'0');
    behind_zeros.next() == Some(&b'4') && !behind_zeros.next().is_some_and(u8::is_ascii_digit)
}
