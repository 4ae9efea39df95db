//! File functions: the words of job files folded into those of the artwork attribute.
//!
//! Job files write `SolderMask`, `SolderPaste` and `Profile` where artwork writes `Soldermask`,
//! `Paste` and `Profile,NP` (seen in use, no source); words of the attribute are those of the Gerber
//! layer format 2021.02, section 5.6.3, older ones those of its chapter 11.

/// Words of the attribute.
const WORDS: [&str; 27] = [
    "Copper",
    "Plated",
    "NonPlated",
    "MixedPlating",
    "Profile",
    "Soldermask",
    "Legend",
    "Carbonmask",
    "Goldmask",
    "Heatsinkmask",
    "Peelablemask",
    "Silvermask",
    "Tinmask",
    "Paste",
    "Glue",
    "Depthrout",
    "Pads",
    "AssemblyDrawing",
    "Component",
    "Vcut",
    "Viafill",
    "Drillmap",
    "FabricationDrawing",
    "Vcutmap",
    "ArrayDrawing",
    "OtherDrawing",
    "Other",
];

/// Other spellings of words of the attribute.
const SPELLINGS: [(&str, &str); 6] = [
    ("SolderPaste", "Paste"),
    ("Keep-out", "Profile"),
    ("Gluemask", "Glue"),
    ("Drawing", "OtherDrawing"),
    ("Mechanical", "FabricationDrawing"),
    ("Assembly", "AssemblyDrawing"),
];

/// The fields of a file function in the words of the attribute.
#[must_use]
pub fn fields(written: &str) -> Vec<String> {
    let mut fields: Vec<String> = written.split(',').map(|f| f.trim().to_owned()).collect();
    if let Some(first) = fields.first_mut() {
        let word = WORDS.iter().find(|w| w.eq_ignore_ascii_case(first));
        let other =
            || SPELLINGS.iter().find(|(spelling, _)| spelling.eq_ignore_ascii_case(first)).map(|(_, word)| word);
        if let Some(word) = word.or_else(other) {
            *first = (*word).to_owned();
        }
    }
    for field in fields.iter_mut().skip(1).filter(|f| f.eq_ignore_ascii_case("bottom")) {
        "Bot".clone_into(field);
    }
    fields
}

/// Whether the first field is a word the attribute knows.
#[must_use]
pub fn is_known(fields: &[String]) -> bool {
    fields.first().is_some_and(|first| WORDS.contains(&first.as_str()))
}

/// Whether two file functions may both be true: fields one of them leaves out at its end say nothing.
#[must_use]
pub fn agree(one: &[String], other: &[String]) -> bool {
    let (one, other) = (fields(&one.join(",")), fields(&other.join(",")));
    one.iter().zip(&other).all(|(a, b)| a.eq_ignore_ascii_case(b))
}
