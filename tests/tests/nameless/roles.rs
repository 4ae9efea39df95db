//! Roles, sides and layers by content alone against those by attribute, job file and name.

use landgap_parser::Polarity;
use landgap_rules::board::{Board, PlacedFile, Role};
use landgap_rules::check::InputFile;

use crate::change::nameless;
use crate::common::{placed, read_set, shared};

/// How one file came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    /// The same, without a question.
    Same,
    /// The same, with a question.
    SameAsked,
    /// Another, with a question.
    Asked,
    /// Another, without a question.
    Wrong,
    /// It draws nothing dark, whatever it is meant for.
    Blank,
}

/// Counts over files.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    same: usize,
    same_asked: usize,
    asked: usize,
    wrong: usize,
    blank: usize,
}

impl Tally {
    fn add(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Same => self.same += 1,
            Outcome::SameAsked => self.same_asked += 1,
            Outcome::Asked => self.asked += 1,
            Outcome::Wrong => self.wrong += 1,
            Outcome::Blank => self.blank += 1,
        }
    }

    fn share(&self) -> f64 {
        let same = (self.same + self.same_asked) as f64;
        same / (same + (self.asked + self.wrong) as f64).max(1.0)
    }

    fn line(&self, name: &str) -> String {
        format!(
            "{name:24} same {:4}  same, asked {:3}  other, asked {:3}  silently wrong {:2}  blank {:3}  {:5.1} %",
            self.same,
            self.same_asked,
            self.asked,
            self.wrong,
            self.blank,
            self.share() * 100.0
        )
    }
}

/// Role, side and layer; drawings and other papers are one, and so are the kinds of holes, whose
/// plating is compared hole by hole.
fn reading(file: &PlacedFile) -> (Role, Option<&'static str>, Option<u32>) {
    match file.role {
        Role::Drawing | Role::Other => (Role::Other, None, None),
        Role::Holes | Role::PlatedHoles | Role::UnplatedHoles => (Role::Holes, None, None),
        role => (role, file.side.map(|s| s.word()), file.layer),
    }
}

/// Whether a question names the file, or asks for what it is.
fn is_asked(board: &Board, file: usize, role: Role) -> bool {
    const ROLES: [&str; 3] = ["unclear-role", "unclear-layer-order", "rival-sets"];
    board.doubts.iter().any(|d| {
        let named = d.sources.iter().any(|s| s.file as usize == file);
        ROLES.contains(&d.rule) && named || d.rule == "missing-outline" && role == Role::Outline
    })
}

fn outcome(with: &PlacedFile, board: &Board, path: &str) -> Outcome {
    let at = board.files.iter().position(|f| f.path == path).expect("every file is listed");
    let blank = |i: &landgap_parser::Image| i.objects.iter().all(|o| o.polarity == Polarity::Clear);
    if board.images[at].as_ref().is_some_and(blank) {
        return Outcome::Blank;
    }
    let same = reading(with) == reading(&board.files[at]);
    match (same, is_asked(board, at, with.role)) {
        (true, false) => Outcome::Same,
        (true, true) => Outcome::SameAsked,
        (false, true) => Outcome::Asked,
        (false, false) => Outcome::Wrong,
    }
}

fn has_attributes(files: &[InputFile]) -> bool {
    files.iter().any(|f| f.bytes.windows(13).any(|w| w == b".FileFunction"))
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder can be read").flatten();
    let mut sets: Vec<String> =
        entries.filter(|e| e.path().is_dir()).map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    sets.sort();
    sets
}

#[test]
fn files_are_placed_by_content_alone() {
    let Some(boards) = shared("boards") else { return };
    let (mut attributed, mut plain) = (Tally::default(), Tally::default());
    let mut wrong = Vec::new();
    for set in names(&boards) {
        let files = read_set(&boards.join(&set));
        let with = placed(&files);
        let renamed = nameless(&files, false);
        let without = placed(&renamed.iter().map(|n| n.1.clone()).collect::<Vec<_>>());
        let mut own = Tally::default();
        for file in &with.files {
            let path = &renamed.iter().find(|n| n.0 == file.path).expect("every file is renamed").1.path;
            let outcome = outcome(file, &without, path);
            own.add(outcome);
            if has_attributes(&files) {
                attributed.add(outcome)
            } else {
                plain.add(outcome)
            }
            if outcome == Outcome::Wrong {
                wrong.push(format!("{set}: {}", file.path));
            }
        }
        println!("{}", own.line(&set));
    }
    println!("{}\n{}", attributed.line("sets with attributes"), plain.line("sets without"));
    assert!(wrong.is_empty(), "silently wrong:\n{}", wrong.join("\n"));
    assert!(attributed.share() >= 0.95, "{}", attributed.line("sets with attributes"));
    assert!(plain.share() >= 0.85, "{}", plain.line("sets without"));
}
