//! The sets as our public doors read them, each once, and their row of the table.

use std::sync::OnceLock;

use landgap_parser::artwork::{self, Artwork, Command, Text, What};
use landgap_parser::drill::{self, Program};
use landgap_parser::kind::{self, Kind};
use landgap_parser::{Limits, Object};

use crate::support;

/// A file as its reader sees it.
pub struct File {
    pub path: String,
    pub bytes: Vec<u8>,
    pub artwork: Option<Artwork>,
    pub program: Option<Program>,
}

/// A set with its traits.
pub struct Set {
    pub name: String,
    pub traits: Vec<String>,
    pub files: Vec<File>,
}

impl File {
    pub fn commands(&self) -> &[Command] {
        self.artwork.as_ref().map_or(&[], |a| &a.commands)
    }

    pub fn text(&self, text: Text) -> String {
        String::from_utf8_lossy(text.of(&self.bytes)).into_owned()
    }

    /// The word of a command as it stands in the file.
    pub fn word(&self, command: &Command) -> &[u8] {
        let start = command.place.offset as usize;
        &self.bytes[start..start + command.length as usize]
    }

    pub fn objects(&self) -> &[Object] {
        self.artwork.as_ref().map_or(&[], |a| &a.image.objects)
    }
}

impl Set {
    /// The trait that begins with a word; what stands behind it.
    pub fn stated(&self, word: &str) -> Option<&str> {
        self.traits.iter().find_map(|t| t.strip_prefix(word))
    }

    pub fn artwork(&self) -> impl Iterator<Item = &File> {
        self.files.iter().filter(|f| f.artwork.is_some())
    }

    pub fn programs(&self) -> impl Iterator<Item = &Program> {
        self.files.iter().filter_map(|f| f.program.as_ref())
    }

    /// How many commands of all artwork files answer to a question.
    pub fn count(&self, mut asked: impl FnMut(&File, &Command) -> bool) -> usize {
        self.artwork().map(|f| f.commands().iter().filter(|c| asked(f, c)).count()).sum()
    }

    pub fn has(&self, mut asked: impl FnMut(&What) -> bool) -> bool {
        self.artwork().any(|f| f.commands().iter().any(|c| asked(&c.what)))
    }
}

/// All sets, or nothing with a message where they are not on this machine.
pub fn all() -> Option<&'static [Set]> {
    static SETS: OnceLock<Option<Vec<Set>>> = OnceLock::new();
    SETS.get_or_init(read).as_deref()
}

/// The trait stands in the table exactly where our doors show it.
#[track_caller]
pub fn both_ways(word: &str, shows: impl Fn(&Set) -> bool) {
    let Some(sets) = all() else { return };
    let differ: Vec<String> = sets
        .iter()
        .filter(|s| s.traits.iter().any(|t| t == word) != shows(s))
        .map(|s| format!("{}: we say {}", s.name, shows(s)))
        .collect();
    assert!(differ.is_empty(), "{word}: {}", differ.join(", "));
    assert!(sets.iter().any(|s| s.traits.iter().any(|t| t == word)), "{word}: no set has it");
}

/// Sets that have the trait must give what stands behind its word; the others must give `none`.
#[track_caller]
pub fn counted<T: PartialEq + std::fmt::Debug>(word: &str, of: impl Fn(&Set) -> T, parse: impl Fn(Option<&str>) -> T) {
    let Some(sets) = all() else { return };
    let differ: Vec<String> = sets
        .iter()
        .map(|s| (s, of(s), parse(s.stated(word))))
        .filter(|(_, ours, theirs)| ours != theirs)
        .map(|(s, ours, theirs)| format!("{}: we say {ours:?}, the table {theirs:?}", s.name))
        .collect();
    assert!(differ.is_empty(), "{word}:\n{}", differ.join("\n"));
}

fn read() -> Option<Vec<Set>> {
    let folder = support::checking_data("boards")?;
    let table = std::fs::read_to_string(folder.join("ORIGIN.tsv")).expect("the table of the sets");
    let rows = table.lines().skip(1).map(|line| {
        let fields: Vec<&str> = line.split('\t').collect();
        let files = support::folder(&folder.join(fields[0])).into_iter().map(file).collect();
        Set { name: fields[0].to_owned(), traits: traits(fields.last().expect("traits")), files }
    });
    Some(rows.collect())
}

fn file(input: landgap_rules::check::InputFile) -> File {
    let limits = Limits::default();
    let kind = kind::detect(&input.bytes);
    let artwork = (kind == Kind::Artwork).then(|| artwork::read(&input.bytes, &limits).expect("within limits"));
    let program = (kind == Kind::Drill).then(|| drill::read(&input.bytes, &limits).expect("within limits"));
    File { path: input.path, bytes: input.bytes, artwork, program }
}

/// Traits stand between "; ", except inside brackets.
fn traits(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for part in text.split("; ") {
        match out.last_mut().filter(|last| last.contains('[') && !last.contains(']')) {
            Some(last) => *last = format!("{last}; {part}"),
            None => out.push(part.to_owned()),
        }
    }
    out
}
