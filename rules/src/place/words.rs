//! File names taken apart into words.

/// Words that are met run together, such as `toplayer` or `bottomsoldermask`.
const RUN_TOGETHER: [&str; 41] = [
    "assembly",
    "board",
    "bot",
    "bottom",
    "copper",
    "cream",
    "cuts",
    "drawing",
    "drill",
    "drills",
    "edge",
    "hole",
    "holes",
    "inner",
    "internal",
    "layer",
    "legend",
    "map",
    "mask",
    "mid",
    "non",
    "npth",
    "outline",
    "outlines",
    "overlay",
    "paste",
    "plane",
    "plated",
    "power",
    "profile",
    "pth",
    "resist",
    "screen",
    "signal",
    "silk",
    "silkscreen",
    "solder",
    "soldermask",
    "stop",
    "through",
    "top",
];

/// The words of a name in lower case, numbers on their own.
pub(super) fn of(name: &str) -> Vec<String> {
    let mut words = Vec::new();
    for piece in pieces(name) {
        match together(&piece) {
            Some(parts) => words.extend(parts),
            None => words.push(piece),
        }
    }
    words
}

/// Splits at marks, at a change from small to capital letters, and between letters and digits.
fn pieces(name: &str) -> Vec<String> {
    let mut out: Vec<String> = vec![String::new()];
    let letters: Vec<char> = name.chars().collect();
    for (i, &c) in letters.iter().enumerate() {
        if !c.is_alphanumeric() {
            out.push(String::new());
            continue;
        }
        let before = i.checked_sub(1).and_then(|j| letters.get(j)).copied();
        if before.is_some_and(|b| starts_word(b, c, letters.get(i + 1).copied())) {
            out.push(String::new());
        }
        if let Some(last) = out.last_mut() {
            last.extend(c.to_lowercase());
        }
    }
    out.retain(|w| !w.is_empty());
    out
}

fn starts_word(before: char, c: char, after: Option<char>) -> bool {
    let small_to_capital = before.is_lowercase() && c.is_uppercase();
    let digit_change = before.is_alphanumeric() && before.is_ascii_digit() != c.is_ascii_digit();
    let last_capital = before.is_uppercase() && c.is_uppercase() && after.is_some_and(char::is_lowercase);
    small_to_capital || digit_change || last_capital
}

/// The known words a piece is made of, if it is made of nothing else.
fn together(piece: &str) -> Option<Vec<String>> {
    if RUN_TOGETHER.contains(&piece) || piece.len() > 40 {
        return None;
    }
    for side in ["t", "b"] {
        let rest = piece.strip_prefix(side);
        if let Some(rest) = rest.filter(|r| RUN_TOGETHER.contains(r) && !["hole", "holes"].contains(r)) {
            return Some(vec![side.to_owned(), rest.to_owned()]);
        }
    }
    split(piece)
}

fn split(piece: &str) -> Option<Vec<String>> {
    if piece.is_empty() {
        return Some(Vec::new());
    }
    // The longest word that leaves a rest which can be split again.
    let mut heads: Vec<&str> = RUN_TOGETHER.iter().copied().filter(|w| piece.starts_with(w)).collect();
    heads.sort_by_key(|w| std::cmp::Reverse(w.len()));
    heads.into_iter().find_map(|head| {
        let mut rest = split(&piece[head.len()..])?;
        rest.insert(0, head.to_owned());
        Some(rest)
    })
}

#[cfg(test)]
mod tests {
    use super::of;

    #[test]
    fn names_come_apart() {
        assert_eq!(of("F_Cu"), ["f", "cu"]);
        assert_eq!(of("toplayer"), ["top", "layer"]);
        assert_eq!(of("internalplane1"), ["internal", "plane", "1"]);
        assert_eq!(of("bottomsoldermask"), ["bottom", "soldermask"]);
        assert_eq!(of("tcream"), ["t", "cream"]);
        assert_eq!(of("TopPasteMaskLayer"), ["top", "paste", "mask", "layer"]);
        assert_eq!(of("LAY11_GND"), ["lay", "11", "gnd"]);
        assert_eq!(of("NCDrill"), ["nc", "drill"]);
        assert_eq!(of("topaz"), ["topaz"]);
    }
}
