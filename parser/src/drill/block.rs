//! One command block: the words of a line sorted by what they do.

use super::words::{Value, Word};

/// The words of one command, in the terms of command set 2.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    pub g: Vec<u32>,
    pub m: Vec<u32>,
    pub tool: Option<Word>,
    pub repeat: Option<Word>,
    pub pattern: Option<Word>,
    pub x: Option<Word>,
    pub y: Option<Word>,
    /// Coordinates behind G84, G85 or G87.
    pub x2: Option<Word>,
    pub y2: Option<Word>,
    pub a: Option<Word>,
    pub i: Option<Word>,
    pub j: Option<Word>,
}

impl Block {
    pub(super) fn has_g(&self, code: u32) -> bool {
        self.g.contains(&code)
    }

    pub(super) fn has_m(&self, code: u32) -> bool {
        self.m.contains(&code)
    }

    /// Whether the block names a coordinate.
    pub(super) const fn moves(&self) -> bool {
        self.x.is_some() || self.y.is_some()
    }

    fn has_second(&self) -> bool {
        self.g.iter().any(|g| matches!(g, 84 | 85 | 87))
    }

    fn is_taken(&self, letter: u8) -> bool {
        match letter {
            b'X' if self.has_second() => self.x2.is_some(),
            b'Y' if self.has_second() => self.y2.is_some(),
            b'X' => self.x.is_some() || self.y.is_some(),
            b'Y' => self.y.is_some(),
            _ => false,
        }
    }

    fn put(&mut self, word: Word, command_set: Option<u32>) {
        let second = self.has_second();
        let count = word.count();
        match word.letter {
            b'G' => self.g.push(count.unwrap_or(u32::MAX)),
            b'M' => self.m.push(count.map_or(u32::MAX, |m| translate(m, command_set))),
            b'T' => self.tool = Some(word),
            b'R' => self.repeat = Some(word),
            b'P' => self.pattern = Some(word),
            b'X' if second => self.x2 = Some(word),
            b'Y' if second => self.y2 = Some(word),
            b'X' => self.x = Some(word),
            b'Y' => self.y = Some(word),
            b'A' => self.a = Some(word),
            b'I' => self.i = Some(word),
            b'J' => self.j = Some(word),
            // Feeds, speeds, depths, sequence numbers and tool data leave the holes alone.
            _ => {}
        }
    }
}

/// Splits the words of a line into blocks: a coordinate that is named again begins the next one.
pub(super) fn blocks(words: &[Word], command_set: Option<u32>) -> Vec<Block> {
    let mut done = Vec::new();
    let mut block = Block::default();
    for word in words {
        if block.is_taken(word.letter) {
            done.push(std::mem::take(&mut block));
        }
        block.put(*word, command_set);
    }
    done.push(block);
    done
}

/// An M code of command set 1 in the terms of command set 2.
const fn translate(code: u32, command_set: Option<u32>) -> u32 {
    if !matches!(command_set, Some(1)) {
        return code;
    }
    match code {
        0 => 9,
        1 => 6,
        2 => 0,
        21 => 80,
        22 => 90,
        23 => 70,
        24 => 1,
        26 => 2,
        27 => 8,
        70 => 72,
        other => other,
    }
}

/// Whether a word's value can be used as a number; a bare `X` or `Y` means zero.
pub(super) const fn is_readable(word: &Word) -> bool {
    !matches!(word.value, Value::Unreadable)
}
