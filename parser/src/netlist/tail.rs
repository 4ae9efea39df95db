//! Fields that begin with a letter: coordinates, sizes, rotation, mask, layers.

use super::record::is_blank;

/// A letter, upper case, with the text up to the next letter.
#[derive(Clone, Copy, Debug)]
pub(super) struct Field<'a> {
    pub letter: u8,
    pub value: &'a [u8],
    /// Where the letter stands in the text given.
    pub at: usize,
    /// Whether it was written small.
    pub small: bool,
}

/// Splits a text into fields; what stands before the first letter comes with letter `0`.
pub(super) fn fields(text: &[u8]) -> impl Iterator<Item = Field<'_>> {
    let mut at = 0usize;
    std::iter::from_fn(move || {
        let rest = text.get(at..)?;
        let first = *rest.first()?;
        let start = at;
        let named = is_letter(first);
        let from = usize::from(named);
        let body = rest.get(from..).unwrap_or_default();
        let length = body.iter().position(|b| is_letter(*b)).unwrap_or(body.len());
        at = at.saturating_add(from).saturating_add(length);
        let letter = if named { first.to_ascii_uppercase() } else { 0 };
        Some(Field { letter, value: body.get(..length)?, at: start, small: first.is_ascii_lowercase() })
    })
}

/// Letters and, so that nothing hides behind a number, every other visible sign.
fn is_letter(byte: u8) -> bool {
    !(byte.is_ascii_digit() || matches!(byte, b'+' | b'-' | b'.') || is_blank(byte))
}

/// Where the `X` of the coordinates stands in a record, from 0: in its own column, or else the first
/// `X` behind the net name that is followed by a number and a `Y` with one.
pub(super) fn coordinates(text: &[u8]) -> Option<usize> {
    const OWN: usize = 41;
    if is_x(text, OWN) && followed(text, OWN) {
        return Some(OWN);
    }
    let net = text.get(3..)?;
    let begin = net.iter().position(|b| !is_blank(*b))?;
    let end = net.iter().skip(begin).position(|b| is_blank(*b))?;
    let from = begin.saturating_add(end).saturating_add(3);
    (from..text.len()).find(|at| is_x(text, *at) && followed(text, *at))
}

fn is_x(text: &[u8], at: usize) -> bool {
    text.get(at).is_some_and(|b| b.eq_ignore_ascii_case(&b'X'))
}

/// Whether a number, a `Y` and the beginning of another number stand behind a letter.
fn followed(text: &[u8], at: usize) -> bool {
    let mut list = fields(text.get(at..).unwrap_or_default());
    let has_digit = |f: &Field<'_>| f.value.iter().any(u8::is_ascii_digit);
    let x = list.next().is_some_and(|f| has_digit(&f));
    x && list.next().is_some_and(|f| f.letter == b'Y' && has_digit(&f))
}
