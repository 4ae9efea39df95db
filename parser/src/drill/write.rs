//! A program back to bytes: one line a command, words without blanks, letters upper case.

use super::program::Program;
use super::read::lines;
use super::words::{self, Value, Word};

/// Writes a program as a file: reading it gives the same program again, places aside.
///
/// `bytes` is the file the program was read from. Lines end in LF, blank lines and the blanks
/// around and inside commands go, letters become upper case. Settings, messages, comments and
/// whatever could not be read as words are copied as they stand, so that nothing is lost.
#[must_use]
pub fn write_commands(bytes: &[u8], program: &Program) -> Vec<u8> {
    let mut out = Vec::with_capacity(bytes.len().min(1 << 26));
    let mut commands = program.lines.iter().peekable();
    for (place, text) in lines(bytes) {
        // Bytes that were no mark of the file's encoding must not become one on the first line.
        if out.is_empty() && (bytes.starts_with(MARK) || text.starts_with(MARK)) {
            out.extend_from_slice(MARK);
        }
        while commands.next_if(|line| line.place.offset < place.offset).is_some() {}
        let command = commands.next_if(|line| line.place.offset == place.offset);
        write_line(&mut out, text, command.map(|line| program.words(line)));
        out.push(b'\n');
    }
    out
}

/// The mark of UTF-8 some programs put before the first line.
const MARK: &[u8] = b"\xEF\xBB\xBF";

fn write_line(out: &mut Vec<u8>, text: &[u8], words: Option<&[Word]>) {
    let code = text.split(|b| *b == b';').next().unwrap_or_default();
    let note = text.get(code.len()..).unwrap_or_default();
    let (slash, body) = match code {
        [b'/', rest @ ..] => (b"/".as_slice(), rest.trim_ascii()),
        _ => (b"".as_slice(), code.trim_ascii()),
    };
    match words.filter(|w| stand_for(w, body)) {
        Some(words) => {
            out.extend_from_slice(slash);
            words.iter().for_each(|w| write_word(out, w));
            out.extend_from_slice(note);
        }
        None => out.extend_from_slice(text),
    }
}

/// Whether the words say all that `body` says, and would be read as words again.
fn stand_for(words: &[Word], body: &[u8]) -> bool {
    // What follows an M decides by its exact spelling whether the line is a message or a command.
    let is_m = matches!(body.first(), Some(b'M' | b'm'));
    let mut again = Vec::new();
    let bad = words::words(body, 1, &mut again);
    let same = |(a, b): (&Word, &Word)| a.letter == b.letter && a.value == b.value && a.value != Value::Unreadable;
    !is_m && bad.is_none() && again.len() == words.len() && again.iter().zip(words).all(same)
}

fn write_word(out: &mut Vec<u8>, word: &Word) {
    out.extend_from_slice(word.to_string().as_bytes());
    if word.value == Value::Empty {
        // Letters side by side would be a name.
        out.push(b' ');
    }
}
