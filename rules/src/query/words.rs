//! Numbers and lists as people read them.

use landgap_parser::{Nm, Point};

/// A length in both units: "0.060 mm (2.36 mil)".
#[must_use]
pub fn length(nm: Nm) -> String {
    format!("{} mm ({} mil)", fixed(nm, 1_000_000, 3), fixed(nm, 25_400, 2))
}

/// The same with enough digits that it is seen to lie below `limit`.
#[must_use]
pub fn length_below(nm: Nm, limit: Nm) -> String {
    let hidden = |unit: Nm, digits: u32| nm < limit && fixed(nm, unit, digits) == fixed(limit, unit, digits);
    let digits = |unit: Nm, from: u32| (from..6).find(|d| !hidden(unit, *d)).unwrap_or(6);
    let (mm, mil) = (digits(1_000_000, 3), digits(25_400, 2));
    format!("{} mm ({} mil)", fixed(nm, 1_000_000, mm), fixed(nm, 25_400, mil))
}

/// A length in millimetres alone: "12.300 mm".
#[must_use]
pub fn millimetres(nm: Nm) -> String {
    format!("{} mm", fixed(nm, 1_000_000, 3))
}

/// A length in micrometres: "0.7 µm".
#[must_use]
pub fn micrometres(nm: Nm) -> String {
    let text = fixed(nm, 1_000, 3);
    format!("{} µm", text.trim_end_matches('0').trim_end_matches('.'))
}

/// A length rounded to whole micrometres, as a number.
#[must_use]
pub const fn whole_micrometres(nm: Nm) -> i64 {
    (nm + 500).div_euclid(1000)
}

/// A point: "x 12.300 mm, y 4.500 mm".
#[must_use]
pub fn point(at: Point) -> String {
    format!("x {}, y {}", millimetres(at.x), millimetres(at.y))
}

/// `nm / unit` rounded half away from zero to some decimals, in whole numbers throughout.
fn fixed(nm: Nm, unit: Nm, digits: u32) -> String {
    let scale = 10i128.pow(digits);
    let unit = i128::from(unit);
    let size = (i128::from(nm).abs() * scale * 2 + unit) / (2 * unit);
    let sign = if nm < 0 && size > 0 { "-" } else { "" };
    format!("{sign}{}.{:0width$}", size / scale, size % scale, width = digits as usize)
}

/// "1 place", "12 places".
#[must_use]
pub fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

/// "copper 1", "copper 1 and copper 4", "a, b and c".
#[must_use]
pub fn listed(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}

/// A text as a sentence: begins with a capital, unless its first word is a name, and ends in a full stop.
#[must_use]
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    let first = text.split_whitespace().next().unwrap_or_default();
    let is_word = first.trim_end_matches([',', ':']).chars().all(char::is_alphabetic);
    let mut letters = text.chars();
    let mut out: String = match letters.next() {
        Some(letter) if is_word => letter.to_uppercase().chain(letters).collect(),
        _ => text.to_owned(),
    };
    if !out.is_empty() && !out.ends_with(['.', '?', '!']) {
        out.push('.');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_in_both_units() {
        assert_eq!(length(60_000), "0.060 mm (2.36 mil)");
        assert_eq!(length(-250_510), "-0.251 mm (-9.86 mil)");
        assert_eq!(length(25_400), "0.025 mm (1.00 mil)");
        assert_eq!(micrometres(707), "0.707 µm");
        assert_eq!(micrometres(100_000), "100 µm");
    }

    #[test]
    fn a_value_just_below_its_limit_never_reads_like_it() {
        assert_eq!(length_below(99_999, 100_000), "0.099999 mm (3.9370 mil)".replace("3.9370", "3.93697"));
        assert_eq!(length_below(60_000, 100_000), "0.060 mm (2.36 mil)");
    }

    #[test]
    fn phrases_become_sentences_and_names_stay() {
        assert_eq!(sentence("the missing layer is sent"), "The missing layer is sent.");
        assert_eq!(sentence("top.gbr is right as it is."), "top.gbr is right as it is.");
        assert_eq!(sentence(" "), "");
    }

    #[test]
    fn lists_read_aloud() {
        let words = |n: usize| listed(&["a", "b", "c"].map(String::from)[..n]);
        assert_eq!(
            (words(0), words(1), words(2), words(3)),
            (String::new(), "a".into(), "a and b".into(), "a, b and c".into())
        );
    }
}
