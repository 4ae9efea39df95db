//! What the user says a file is: "copper top 1", "mask bottom", "outline".
//!
//! It is said in a file beside the data, in a file named to the command, by flag, or with a request for a
//! check; what is said later outweighs what stands beside the data.

use std::collections::BTreeMap;

use landgap_rules::board::{Role, Side};
use landgap_rules::check::{InputFile, Told};
use landgap_rules::place::ToldRole;

use crate::fault::{Fault, Kind, Outcome};

/// The name of a file beside the data that says what the others are.
pub const BESIDE: &str = "told.toml";

/// Statements by path, as written.
pub type Sayings = BTreeMap<String, String>;

const ROLES: [Role; 12] = [
    Role::Copper,
    Role::Mask,
    Role::Legend,
    Role::Paste,
    Role::Outline,
    Role::PlatedHoles,
    Role::UnplatedHoles,
    Role::Holes,
    Role::Netlist,
    Role::Job,
    Role::Drawing,
    Role::Other,
];

/// Reads a file of statements: one `"path" = "role side layer"` a line.
pub fn from_toml(shown: &str, text: &str) -> Outcome<Sayings> {
    toml::from_str(text).map_err(|e| Fault::new(Kind::BadTold, format!("{shown}: {}", e.to_string().trim_end())))
}

/// Reads statements given one by one: `PATH=ROLE SIDE LAYER`.
pub fn from_flags(flags: &[String]) -> Outcome<Sayings> {
    let one = |flag: &String| {
        let parts = flag.rsplit_once('=').map(|(path, words)| (path.trim().to_owned(), words.trim().to_owned()));
        parts.filter(|(path, _)| !path.is_empty()).ok_or_else(|| {
            Fault::new(Kind::BadTold, format!("{flag:?}: expected PATH=ROLE, such as \"a.gbr=copper top 1\"."))
        })
    };
    flags.iter().map(one).collect()
}

/// Sees that every statement can be understood, whatever set it is about.
pub fn expect_words(sayings: &Sayings) -> Outcome<()> {
    sayings.iter().try_for_each(|(path, words)| understood(path, words).map(|_| ()))
}

fn understood(path: &str, words: &str) -> Outcome<ToldRole> {
    role(words).map_err(|why| Fault::new(Kind::BadTold, format!("{path}: {words:?}: {why}.")))
}

/// What files named told.toml in the set say of the files in their folders.
fn beside(files: &[InputFile]) -> Outcome<Sayings> {
    let mut out = Sayings::new();
    for file in files {
        let (folder, base) = file.path.rsplit_once('/').map_or(("", file.path.as_str()), |(f, b)| (f, b));
        if base != BESIDE {
            continue;
        }
        let text = String::from_utf8_lossy(&file.bytes);
        let whole = |path: String| if folder.is_empty() { path } else { format!("{folder}/{path}") };
        out.insert(file.path.clone(), Role::Other.word().to_owned());
        out.extend(from_toml(&file.path, &text)?.into_iter().map(|(path, words)| (whole(path), words)));
    }
    Ok(out)
}

/// Understands every statement, those beside the data included, and sees that its file is in the set.
pub fn understand(sayings: &Sayings, files: &[InputFile]) -> Outcome<Told> {
    let mut told = Told::new();
    let mut all = beside(files)?;
    all.extend(sayings.clone());
    for (path, words) in &all {
        if !files.iter().any(|f| f.path == *path) {
            return Err(Fault::new(Kind::BadTold, format!("The set has no file named {path:?}.")));
        }
        told.insert(path.clone(), understood(path, words)?);
    }
    Ok(told)
}

fn role(words: &str) -> Result<ToldRole, String> {
    let mut words = words.split_whitespace();
    let first = words.next().ok_or("a role was expected")?;
    let role = ROLES.into_iter().find(|r| r.word() == first).ok_or_else(|| {
        let known: Vec<&str> = ROLES.iter().map(|r| r.word()).collect();
        format!("{first:?} is no role; expected one of {}", known.join(", "))
    })?;
    let mut told = ToldRole { role, side: None, layer: None, negative: None };
    for word in words {
        match (word, word.parse::<u32>()) {
            ("top", _) => told.side = Some(Side::Top),
            ("bottom", _) => told.side = Some(Side::Bottom),
            ("inner", _) => told.side = Some(Side::Inner),
            ("negative" | "positive", _) if role == Role::Copper => told.negative = Some(word == "negative"),
            (_, Ok(layer @ 1..=64)) => told.layer = Some(layer),
            _ => {
                return Err(format!(
                    "{word:?} is neither a side (top, bottom, inner), a layer number from 1 to 64, nor, for copper, negative or positive"
                ));
            }
        }
    }
    complete(&told).map(|()| told)
}

fn complete(told: &ToldRole) -> Result<(), String> {
    let sided = matches!(told.role, Role::Mask | Role::Legend | Role::Paste);
    if sided && !matches!(told.side, Some(Side::Top | Side::Bottom)) {
        return Err("this role needs a side, top or bottom".to_owned());
    }
    if told.role == Role::Copper && told.side.is_none() && told.layer.is_none() {
        return Err("copper needs a side or a layer number".to_owned());
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn copper(side: Option<Side>, layer: u32, negative: Option<bool>) -> ToldRole {
        ToldRole { role: Role::Copper, side, layer: Some(layer), negative }
    }

    #[test]
    fn words_become_roles() {
        assert_eq!(role("copper top 1"), Ok(copper(Some(Side::Top), 1, None)));
        assert_eq!(role("outline"), Ok(ToldRole { role: Role::Outline, side: None, layer: None, negative: None }));
        let mask = ToldRole { role: Role::Mask, side: Some(Side::Bottom), layer: None, negative: None };
        assert_eq!(role("mask bottom"), Ok(mask));
        assert_eq!(role("copper 2 negative"), Ok(copper(None, 2, Some(true))));
        assert_eq!(role("copper 2 positive"), Ok(copper(None, 2, Some(false))));
    }

    #[test]
    fn wrong_words_say_what_was_expected() {
        assert!(role("coper top").unwrap_err().contains("expected one of copper"));
        assert!(role("mask top negative").unwrap_err().contains("for copper, negative"));
        assert!(role("mask").unwrap_err().contains("needs a side"));
        assert!(role("copper left").unwrap_err().contains("neither a side"));
    }

    fn set(files: &[(&str, &str)]) -> Vec<InputFile> {
        files.iter().map(|(p, t)| InputFile { path: (*p).to_owned(), bytes: t.as_bytes().to_vec() }).collect()
    }

    #[test]
    fn a_file_beside_the_data_speaks_of_its_own_folder_and_is_outweighed() {
        let files = set(&[
            ("rev-b/a.gbr", ""),
            ("rev-b/c.gbr", ""),
            ("rev-b/told.toml", "\"a.gbr\" = \"outline\"\n\"c.gbr\" = \"mask top\"\n"),
        ]);
        let said = from_flags(&["rev-b/a.gbr=drawing".to_owned()]).unwrap();
        let told = understand(&said, &files).unwrap();
        let roles: Vec<Role> = told.values().map(|t| t.role).collect();
        assert_eq!(roles, [Role::Drawing, Role::Mask, Role::Other]);
    }

    #[test]
    fn what_is_wrong_beside_the_data_or_in_a_flag_is_named() {
        let fault = |text: &str| understand(&Sayings::new(), &set(&[("told.toml", text)])).unwrap_err().detail;
        assert!(fault("\"b.gbr\" = \"outline\"").contains("b.gbr"));
        assert!(fault("a.gbr: outline").contains("told.toml"));
        assert!(from_flags(&["outline".to_owned()]).unwrap_err().detail.contains("PATH=ROLE"));
        assert!(from_flags(&["=outline".to_owned()]).is_err());
    }

    #[test]
    fn a_file_outside_the_set_is_named() {
        let fault = understand(&from_toml("t", "\"a.gbr\" = \"outline\"").unwrap(), &[]).unwrap_err();
        assert!(fault.detail.contains("a.gbr"));
    }
}
