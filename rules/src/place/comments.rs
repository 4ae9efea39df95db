//! What comments of a file say of its role: film names, layer names, places in the stack.

use super::guess::{Guess, Number};
use super::{names, words};
use crate::board::{KnownBy, Role};

/// Bytes at the start of a file in which such comments are looked for.
const HEAD: usize = 16 << 10;

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Comments {
    /// The layer's place in the stack, where a comment states it.
    pub order: Option<u32>,
    /// Names a comment gives the film or layer.
    pub names: Vec<String>,
}

/// Reads the comments at the start of a file.
pub(super) fn read(bytes: &[u8]) -> Comments {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(HEAD)]);
    let mut found = Comments::default();
    for line in head.split(['\n', '\r']) {
        let Some(text) = line.trim().strip_prefix("G04").or_else(|| line.trim().strip_prefix(';')) else { continue };
        let text = text.trim_end_matches('*').trim();
        if let Some(order) = text.strip_prefix("Layer_Physical_Order=") {
            found.order = order.parse().ok().filter(|n| (1..=super::MOST_LAYERS).contains(n));
        }
        for key in ["Film Name:", "Layer:"] {
            if let Some(name) = text.strip_prefix(key).filter(|_| found.names.len() < 40) {
                found.names.push(name.trim().to_owned());
            }
        }
    }
    found
}

impl Comments {
    /// A reading by the names, for a file whose own name says nothing.
    pub fn guess(&self) -> Option<Guess> {
        let etch = self.names.iter().find(|n| n.starts_with("ETCH/") || n.starts_with("CONDUCTOR/"));
        let name = etch.or_else(|| self.names.first())?;
        let mut guess = names::of_words(&words::of(name))?;
        guess.known_by = KnownBy::Content;
        guess.confidence = guess.confidence.min(75);
        guess.evidence = format!("a comment in the file calls it \"{name}\"");
        Some(guess)
    }

    /// Whether one of the layers plotted into the film holds vias.
    pub fn speaks_of_vias(&self) -> bool {
        self.names.iter().any(|n| n.starts_with("VIA ") || n.starts_with("VIA/"))
    }

    /// Adds the place in the stack to a copper reading that has none from a stronger source.
    pub fn place(&self, guess: &mut Guess) {
        let Some(order) = self.order.filter(|_| guess.role == Role::Copper) else { return };
        if matches!(guess.number, Number::FromTop(_)) {
            return;
        }
        guess.number = Number::FromTop(order);
        guess.evidence = format!("{}; a comment in the file gives its place in the stack as {order}", guess.evidence);
    }
}
