//! What a file says of itself: the file function attribute, in commands or in comments.
//!
//! Values as in the Gerber layer format specification 2021.02, 5.6.3, and the older values its
//! chapter 11 lists; job files use the same words with small differences.

use landgap_parser::FileAttribute;

use super::guess::{Guess, Number};
use crate::board::{KnownBy, Role, Side};

/// Reads the file function among a file's attributes.
pub(super) fn of_attributes(attributes: &[FileAttribute]) -> Option<Guess> {
    // A command outweighs a comment of the same name.
    let found = |in_comment: bool| {
        attributes
            .iter()
            .find(|a| a.in_comment == in_comment && a.name.trim_start_matches('.').eq_ignore_ascii_case("FileFunction"))
    };
    let attribute = found(false).or_else(|| found(true))?;
    let mut guess = of_function(&attribute.values, KnownBy::Attribute)?;
    let place = if attribute.in_comment { "comment attribute" } else { "attribute" };
    guess.evidence =
        format!("{place} .FileFunction on line {} says \"{}\"", attribute.line, attribute.values.join(","));
    Some(guess)
}

/// Reads a file function given as fields.
pub(super) fn of_function(values: &[String], known_by: KnownBy) -> Option<Guess> {
    let first = values.first()?.trim().to_ascii_lowercase();
    let side = values.iter().skip(1).find_map(|v| side(v));
    let role = match first.as_str() {
        "copper" => Role::Copper,
        "plated" => Role::PlatedHoles,
        "nonplated" => Role::UnplatedHoles,
        "mixedplating" => Role::Holes,
        "profile" | "keep-out" | "outline" => Role::Outline,
        "soldermask" => Role::Mask,
        "legend" => Role::Legend,
        "paste" | "solderpaste" => Role::Paste,
        "drillmap" | "fabricationdrawing" | "vcutmap" | "arraydrawing" | "otherdrawing" | "drawing" | "mechanical"
        | "assemblydrawing" | "assembly" => Role::Drawing,
        "" => return None,
        _ => Role::Other,
    };
    let mut guess = Guess::new(role, side, known_by, 100, format!("says \"{}\"", values.join(",")));
    if role == Role::Copper {
        guess.number = values.iter().skip(1).find_map(|v| layer_number(v)).map_or(Number::None, Number::FromTop);
        if guess.number == Number::FromTop(1) && guess.side.is_none() {
            guess.side = Some(Side::Top);
        }
    }
    if super::guess::is_holes(role) {
        guess.span = span(values);
    }
    Some(guess)
}

fn side(value: &str) -> Option<Side> {
    match value.trim().to_ascii_lowercase().as_str() {
        "top" => Some(Side::Top),
        "bot" | "bottom" => Some(Side::Bottom),
        "inr" | "inner" => Some(Side::Inner),
        _ => None,
    }
}

fn layer_number(value: &str) -> Option<u32> {
    value.trim().strip_prefix(['L', 'l'])?.parse().ok().filter(|n| (1..=super::MOST_LAYERS).contains(n))
}

fn span(values: &[String]) -> Option<(u32, u32)> {
    let number = |i: usize| {
        values.get(i).and_then(|v| v.trim().parse::<u32>().ok()).filter(|n| (1..=super::MOST_LAYERS).contains(n))
    };
    let (a, b) = (number(1)?, number(2)?);
    Some((a.min(b), a.max(b)))
}
