//! What the extension of a file name says. Common practice, no source: no standard rules extensions.

use super::guess::{Guess, Number};
use crate::board::{KnownBy, Role, Side};

const TOP: Option<Side> = Some(Side::Top);
const BOTTOM: Option<Side> = Some(Side::Bottom);

/// Extensions with a fixed meaning: extension, role, side, confidence.
const FIXED: [(&str, Role, Option<Side>, u8); 56] = [
    ("gtl", Role::Copper, TOP, 92),
    ("gbl", Role::Copper, BOTTOM, 92),
    ("gts", Role::Mask, TOP, 92),
    ("gbs", Role::Mask, BOTTOM, 92),
    ("gto", Role::Legend, TOP, 92),
    ("gbo", Role::Legend, BOTTOM, 92),
    ("gtp", Role::Paste, TOP, 92),
    ("gbp", Role::Paste, BOTTOM, 92),
    ("gta", Role::Other, TOP, 85),
    ("gba", Role::Other, BOTTOM, 85),
    ("gpt", Role::Other, TOP, 85),
    ("gpb", Role::Other, BOTTOM, 85),
    ("gko", Role::Outline, None, 80),
    ("gol", Role::Outline, None, 80),
    ("oln", Role::Outline, None, 85),
    ("gml", Role::Outline, None, 75),
    ("gdl", Role::Other, None, 75),
    ("gdd", Role::Drawing, None, 80),
    ("gg1", Role::Drawing, None, 80),
    ("gd1", Role::Drawing, None, 80),
    ("fab", Role::Drawing, None, 75),
    ("drd", Role::Holes, None, 80),
    ("drl", Role::Holes, None, 85),
    ("xln", Role::Holes, None, 85),
    ("exc", Role::Holes, None, 85),
    ("cnc", Role::Holes, None, 80),
    ("tap", Role::Holes, None, 80),
    ("ncd", Role::Holes, None, 80),
    ("nc", Role::Holes, None, 80),
    ("xnc", Role::Holes, None, 85),
    ("drill", Role::Holes, None, 85),
    ("rou", Role::Holes, None, 70),
    ("cmp", Role::Copper, TOP, 80),
    ("sol", Role::Copper, BOTTOM, 80),
    ("stc", Role::Mask, TOP, 80),
    ("sts", Role::Mask, BOTTOM, 80),
    ("plc", Role::Legend, TOP, 80),
    ("pls", Role::Legend, BOTTOM, 80),
    ("crc", Role::Paste, TOP, 80),
    ("crs", Role::Paste, BOTTOM, 80),
    ("top", Role::Copper, TOP, 80),
    ("bot", Role::Copper, BOTTOM, 80),
    ("smt", Role::Mask, TOP, 80),
    ("smb", Role::Mask, BOTTOM, 80),
    ("sst", Role::Legend, TOP, 80),
    ("ssb", Role::Legend, BOTTOM, 80),
    ("spt", Role::Paste, TOP, 80),
    ("spb", Role::Paste, BOTTOM, 80),
    ("drr", Role::Drawing, None, 80),
    ("rep", Role::Drawing, None, 80),
    ("rpt", Role::Drawing, None, 80),
    ("lst", Role::Drawing, None, 80),
    ("apr", Role::Drawing, None, 80),
    ("pdf", Role::Drawing, None, 90),
    ("dxf", Role::Drawing, None, 80),
    ("md", Role::Drawing, None, 70),
];

/// Reads an extension (lower case, without its dot).
pub(super) fn of(extension: &str) -> Option<Guess> {
    let evidence = format!("the extension .{extension} is commonly used so");
    let fixed = FIXED.iter().find(|row| row.0 == extension);
    if let Some(&(_, role, side, confidence)) = fixed {
        return Some(Guess::new(role, side, KnownBy::Name, confidence, evidence));
    }
    let digits = extension.find(|c: char| c.is_ascii_digit())?;
    let (letters, number) = extension.split_at(digits);
    let number: u32 = number.parse().ok().filter(|n| (1..=super::MOST_LAYERS).contains(n))?;
    let copper = |number| Some(Guess::new(Role::Copper, None, KnownBy::Name, 85, evidence.clone()).numbered(number));
    match letters {
        "g" | "gp" | "in" | "gin" => copper(Number::Inner(number)),
        "l" | "gl" => copper(Number::FromTop(number)),
        "gm" if number == 1 => Some(Guess::new(Role::Outline, None, KnownBy::Name, 70, evidence)),
        "gm" => Some(Guess::new(Role::Drawing, None, KnownBy::Name, 60, evidence)),
        _ => None,
    }
}

/// Whether files with this extension are expected to hold artwork or a drill program.
pub(super) fn is_data(extension: &str) -> bool {
    const PLAIN: [&str; 7] = ["gbr", "ger", "gb", "gbx", "pho", "art", "spl"];
    PLAIN.contains(&extension) || of(extension).is_some_and(|g| g.role != Role::Drawing)
}
