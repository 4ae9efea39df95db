//! What the name of a file says. Common practice, no source.

use super::guess::{Guess, Number};
use super::{extensions, words};
use crate::board::{KnownBy, Role, Side};

/// The name without its folders.
pub(super) fn base(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().unwrap_or(path)
}

/// Stem and lower-case extension.
pub(super) fn parts(path: &str) -> (&str, String) {
    match base(path).rsplit_once('.') {
        Some((stem, extension)) if !stem.is_empty() => (stem, extension.to_ascii_lowercase()),
        _ => (base(path), String::new()),
    }
}

/// The words all names of a set begin with: the name of the product, which says nothing of a file's role.
pub(super) fn common_start(paths: &[&str]) -> usize {
    let lists: Vec<Vec<String>> = paths.iter().map(|p| words::of(parts(p).0)).collect();
    let Some(first) = lists.first().filter(|_| lists.len() > 2) else { return 0 };
    let shared = (0..first.len()).take_while(|&i| lists.iter().all(|l| l.get(i) == first.get(i))).count();
    let has_side = |words: &[String]| side(words).is_some() || role(words).is_some();
    // A shared word may still be a role (a set of top layers only), unless the rest names roles as well.
    let rest = lists.iter().filter(|l| has_side(&l[shared..])).count();
    if has_side(&first[..shared]) && rest < 2 { 0 } else { shared }
}

/// Reads a file name, leaving out the first `skip` words; also gives the reading it was preferred to.
pub(super) fn of(path: &str, skip: usize) -> (Option<Guess>, Option<Guess>) {
    let (stem, extension) = parts(path);
    let all = words::of(stem);
    let by_extension = extensions::of(&extension);
    let by_stem = numbered_film(stem).or_else(|| of_words(all.get(skip..).unwrap_or(&[])));
    match (by_stem, by_extension) {
        (Some(stem), Some(extension)) => settle(stem, extension),
        (stem, extension) => (stem.or(extension), None),
    }
}

/// Words of the stem against the extension.
fn settle(mut stem: Guess, mut extension: Guess) -> (Option<Guess>, Option<Guess>) {
    if !stem.contradicts(&extension) {
        stem.confidence = stem.confidence.max(extension.confidence).saturating_add(3).min(95);
        stem.side = stem.side.or(extension.side);
        if stem.number == Number::None {
            stem.number = extension.number;
        }
        stem.evidence = format!("{}; {}", stem.evidence, extension.evidence);
        return (Some(stem), None);
    }
    if stem.confidence >= extension.confidence {
        stem.confidence = stem.confidence.min(70);
        return (Some(stem), Some(extension));
    }
    extension.confidence = extension.confidence.min(75);
    (Some(extension), Some(stem))
}

/// Names made of a film's kind and its layer number, such as `art001` or `sm001021`.
fn numbered_film(stem: &str) -> Option<Guess> {
    let lower = stem.to_ascii_lowercase();
    let digits = lower.find(|c: char| c.is_ascii_digit())?;
    let (letters, numerals) = lower.split_at(digits);
    if !matches!(numerals.len(), 3 | 6) || !numerals.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let layer: u32 = numerals[..3].parse().ok().filter(|n| (1..=super::MOST_LAYERS).contains(n))?;
    let role = match letters {
        "art" | "pgp" => Role::Copper,
        "sm" => Role::Mask,
        "smd" => Role::Paste,
        "sst" | "ssb" | "ss" => Role::Legend,
        "dd" => Role::Drawing,
        "drl" => Role::Holes,
        _ => return None,
    };
    let evidence = format!("\"{stem}\" is a film of kind \"{letters}\" for layer {layer}");
    let mut guess = Guess::new(role, None, KnownBy::Name, 88, evidence);
    match role {
        Role::Copper => guess.number = Number::FromTop(layer),
        Role::Mask | Role::Paste | Role::Legend => guess.side = Some(if layer == 1 { Side::Top } else { Side::Bottom }),
        _ => {}
    }
    Some(guess)
}

/// Reads words.
pub(super) fn of_words(words: &[String]) -> Option<Guess> {
    let side = side(words);
    let number = number(words);
    let (role, confidence) = match role(words) {
        Some(found) => found,
        None if number != Number::None => (Role::Copper, 75),
        None if only_side(words) => (Role::Copper, 75),
        None => return None,
    };
    let evidence = format!("the name says \"{}\"", words.join(" "));
    let mut guess = Guess::new(role, side, KnownBy::Name, confidence, evidence);
    if role == Role::Copper {
        // A layer with a side and a numeral behind it ("top 1") is that side's.
        guess = if side.is_some() && !matches!(number, Number::FromTop(_)) { guess } else { guess.numbered(number) };
    }
    Some(guess)
}

fn has(words: &[String], any: &[&str]) -> bool {
    words.iter().any(|w| any.contains(&w.as_str()))
}

/// A name that is a side and nothing else but marks of the set.
fn only_side(words: &[String]) -> bool {
    side(words).is_some() && words.len() <= 2 && has(words, &["top", "bottom", "bot"])
}

/// What role the words name, with the confidence.
fn role(words: &[String]) -> Option<(Role, u8)> {
    let has = |any: &[&str]| has(words, any);
    if has(&[
        "adhes",
        "adhesive",
        "glue",
        "margin",
        "courtyard",
        "crtyd",
        "courtyd",
        "user",
        "comment",
        "comments",
        "eco",
        "document",
    ]) {
        return Some((Role::Other, 85));
    }
    let drawing = [
        "map",
        "drawing",
        "drawings",
        "fab",
        "fabrication",
        "assembly",
        "assem",
        "assy",
        "note",
        "notes",
        "guide",
        "readme",
        "report",
    ];
    if has(&drawing) {
        return Some((Role::Drawing, 85));
    }
    holes_role(words).or_else(|| layer_role(words))
}

fn holes_role(words: &[String]) -> Option<(Role, u8)> {
    let has = |any: &[&str]| has(words, any);
    let unplated = has(&["npth", "unplated", "nonplated"]) || (has(&["non", "not", "no"]) && has(&["plated", "pth"]));
    let holes = has(&["drill", "drills", "drl", "drilling", "hole", "holes", "slots"]);
    if unplated && !has(&["mask", "copper", "cu"]) {
        return Some((Role::UnplatedHoles, 88));
    }
    if has(&["pth"]) || (holes && has(&["plated"])) {
        return Some((Role::PlatedHoles, 88));
    }
    holes.then_some((Role::Holes, 80))
}

fn layer_role(words: &[String]) -> Option<(Role, u8)> {
    let has = |any: &[&str]| has(words, any);
    if has(&["paste", "past", "cream", "stencil", "pastemask", "solderpaste"]) {
        return Some((Role::Paste, 88));
    }
    if has(&["silk", "silks", "silkscreen", "legend", "overlay", "screen", "nomenclature", "marking"]) {
        return Some((Role::Legend, 88));
    }
    let solder_side = has(&["side"]) && !has(&["mask", "resist"]);
    if has(&["mask", "soldermask", "resist", "smask", "soldermsk"]) || (has(&["solder", "stop"]) && !solder_side) {
        return Some((Role::Mask, 88));
    }
    let edge = has(&["edge"]) && has(&["cut", "cuts"]);
    if edge || has(&["outline", "outlines", "profile", "contour", "perimeter", "boardoutline", "dimension"]) {
        return Some((Role::Outline, 88));
    }
    if has(&["edge", "border", "boundary", "cutout", "cutouts", "milling", "keepout"])
        || (has(&["keep"]) && has(&["out"]))
    {
        return Some((Role::Outline, 60));
    }
    copper_role(words)
}

fn copper_role(words: &[String]) -> Option<(Role, u8)> {
    let has = |any: &[&str]| has(words, any);
    if has(&["copper", "cu", "etch", "conductor"]) {
        return Some((Role::Copper, 90));
    }
    if has(&["layer", "lay", "side"]) && (side(words).is_some() || number(words) != Number::None) {
        return Some((Role::Copper, 88));
    }
    if has(&["internal", "inner", "inr", "plane", "signal", "sig", "mid"]) {
        return Some((Role::Copper, 82));
    }
    has(&["gnd", "ground", "pwr", "power", "vcc", "vdd"]).then_some((Role::Copper, 75))
}

/// The side the words name; `None` for both or neither.
fn side(words: &[String]) -> Option<Side> {
    let single = |letter: &str| {
        words.windows(2).any(|w| (w[0] == letter && is_layer_word(&w[1])) || (w[1] == letter && is_layer_word(&w[0])))
    };
    let on = |side: &str| has(words, &["side"]) && has(words, &[side]) && !has(words, &["mask", "resist", "paste"]);
    let top = has(words, &["top", "front", "upper", "primary"]) || single("t") || single("f") || on("component");
    let bottom = has(words, &["bottom", "bot", "back", "lower", "secondary"]) || single("b") || on("solder");
    match (top, bottom) {
        (true, false) => Some(Side::Top),
        (false, true) => Some(Side::Bottom),
        _ => None,
    }
}

fn is_layer_word(word: &str) -> bool {
    const WORDS: [&str; 22] = [
        "cu",
        "copper",
        "mask",
        "soldermask",
        "paste",
        "cream",
        "silk",
        "silks",
        "silkscreen",
        "fab",
        "courtyard",
        "crtyd",
        "adhes",
        "adhesive",
        "layer",
        "overlay",
        "legend",
        "resist",
        "stop",
        "solder",
        "assembly",
        "signal",
    ];
    WORDS.contains(&word)
}

/// The number of a copper layer in the words.
fn number(words: &[String]) -> Number {
    let numeral = |w: &String| w.parse::<u32>().ok().filter(|n| (1..=super::MOST_LAYERS).contains(n));
    for pair in words.windows(2) {
        let Some(n) = numeral(&pair[1]) else { continue };
        match pair[0].as_str() {
            "in" | "inner" | "int" | "internal" | "mid" | "inr" => return Number::Inner(n),
            "layer" | "lay" | "lyr" | "plane" if has(words, &["inner", "internal", "mid", "inr"]) => {
                return Number::Inner(n);
            }
            "layer" | "lay" | "lyr" | "l" | "cu" | "copper" => return Number::FromTop(n),
            _ => {}
        }
    }
    named(words)
}

/// Planes and signals that carry a name and at most a numeral.
fn named(words: &[String]) -> Number {
    const NAMES: [&str; 9] = ["gnd", "ground", "pwr", "power", "vcc", "vdd", "signal", "sig", "plane"];
    let Some(at) = words.iter().position(|w| NAMES.contains(&w.as_str())) else { return Number::None };
    let numeral = words.get(at + 1).and_then(|w| w.parse::<u32>().ok()).unwrap_or(0);
    let name = match words[at].as_str() {
        "gnd" | "ground" => "ground",
        "pwr" | "power" | "vcc" | "vdd" | "plane" => "power",
        _ => "signal",
    };
    Number::Named(name.to_owned(), numeral)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Habits of many dialects: file name and the reading (common practice, no source).
    const HABITS: [(&str, &str); 56] = [
        ("x.GTL", "top copper"),
        ("x.GBL", "bottom copper"),
        ("x.GTS", "top mask"),
        ("x.GBS", "bottom mask"),
        ("x.GTO", "top legend"),
        ("x.GBO", "bottom legend"),
        ("x.GTP", "top paste"),
        ("x.GBP", "bottom paste"),
        ("x.GKO", "outline"),
        ("x.GM1", "outline"),
        ("x.GM13", "drawing"),
        ("x.G1", "inner copper 1"),
        ("x.GP2", "inner copper 2"),
        ("x.OLN", "outline"),
        ("x.GOL", "outline"),
        ("x.DRL", "holes"),
        ("x.XLN", "holes"),
        ("x.toplayer.ger", "top copper"),
        ("x.internalplane1.ger", "inner copper 1"),
        ("x.tcream.ger", "top paste"),
        ("x.boardoutline.ger", "outline"),
        ("x.bottomsoldermask.ger", "bottom mask"),
        ("x-F_Cu.gbr", "top copper"),
        ("x-In1_Cu.gbr", "inner copper 1"),
        ("x-B_SilkS.gbr", "bottom legend"),
        ("x-Edge_Cuts.gbr", "outline"),
        ("x-User_Comments.gbr", "other"),
        ("x-F_Courtyard.gbr", "top other"),
        ("x-B_Fab.gbr", "bottom drawing"),
        ("x-PTH-drl_map.gbr", "drawing"),
        ("x-NPTH.drl", "unplated holes"),
        ("x - Layer 2 Copper.gbr", "copper 2"),
        ("x - Bottom Paste Mask.gbr", "bottom paste"),
        ("x - Top Solder Mask.gbr", "top mask"),
        ("x - Drill Ident Drawing - Through Hole.gbr", "drawing"),
        ("x - Through Hole (Unplated).drl", "unplated holes"),
        ("x_COPPER-TOP.gbr", "top copper"),
        ("x_SOLDERMASK-BOTTOM.gbr", "bottom mask"),
        ("x Top Silk Screen.GBR", "top legend"),
        ("x Bottom Solder Resist.GBR", "bottom mask"),
        ("x-Top Overlay.gbr", "top legend"),
        ("x-Bottom Layer.gbr", "bottom copper"),
        ("x-Top Solder.gbr", "top mask"),
        ("TOP.art", "top copper"),
        ("LAY2_GND.art", "copper 2"),
        ("LAY10.art", "copper 10"),
        ("MASK_BOT.art", "bottom mask"),
        ("PAST_TOP.art", "top paste"),
        ("ASSEM_TOP.art", "top drawing"),
        ("art001.pho", "copper 1"),
        ("pgp002.pho", "copper 2"),
        ("sm001021.pho", "top mask"),
        ("sm008028.pho", "bottom mask"),
        ("smd001023.pho", "top paste"),
        ("sst001026.pho", "top legend"),
        ("dd001024.pho", "drawing"),
    ];

    #[test]
    fn habits_are_read() {
        for (name, reading) in HABITS {
            let found = of(name, 0).0.map(|g| g.words());
            assert_eq!(found.as_deref(), Some(reading), "{name}");
        }
    }

    #[test]
    fn the_name_of_the_product_says_nothing() {
        let names = ["back_plate-F_Cu.gbr", "back_plate-B_Cu.gbr", "back_plate-F_Mask.gbr"];
        let skip = common_start(&names);
        assert_eq!(skip, 2);
        assert_eq!(of(names[0], skip).0.map(|g| g.words()).as_deref(), Some("top copper"));
        assert_eq!(of("readme.txt", 0).0.map(|g| g.role), Some(Role::Drawing));
        assert_eq!(of("extra_a.gbr", 0).0, None);
    }
}
