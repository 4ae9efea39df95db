//! Weighs the readings of one file against each other.

use landgap_parser::kind::{self, Kind};

use super::comments;
use super::guess::{Guess, Number, is_holes};
use super::job::Job;
use super::load::Loaded;
use super::stacked::Statement;
use super::{ToldRole, names, roles};
use crate::board::{Doubt, KnownBy, Role, Source};

/// The reading a file is given, with the next best.
pub(super) struct Decision {
    pub guess: Guess,
    pub runner_up: Option<Guess>,
    /// A stronger and a weaker reading that cannot both be right.
    pub clash: Option<(Guess, Guess)>,
    /// What is said of the place of a copper file, by whom.
    pub statements: Vec<Statement>,
}

/// Decides on one file; content of artwork is not looked at yet.
pub(super) fn on(loaded: &Loaded<'_>, told: Option<&ToldRole>, job: Option<&Job>, skip: usize) -> Decision {
    let mut readings = Vec::new();
    readings.extend(told.map(by_told));
    readings.extend(by_attribute(loaded));
    readings.extend(by_job(loaded, job));
    let (name, second) = names::of(&loaded.file.path, skip);
    readings.extend(name.filter(|g| fits(loaded, g)));
    if matches!(loaded.kind, Kind::Artwork) {
        readings.extend(comments::read(&loaded.file.bytes).guess().filter(|g| !is_holes(g.role)));
    }
    readings.extend(second.filter(|g| fits(loaded, g)));
    readings.push(by_kind(loaded));
    let statements = statements(loaded, &readings);
    let mut readings = readings.into_iter();
    let mut guess = readings.next().unwrap_or_else(|| by_kind(loaded));
    let rest: Vec<Guess> = readings.collect();
    if matches!(loaded.kind, Kind::Artwork) {
        comments::read(&loaded.file.bytes).place(&mut guess);
    }
    complete(&mut guess, &rest);
    let clash = clash(&guess, &rest);
    let runner_up = rest.into_iter().find(|g| g.contradicts(&guess) && g.role != Role::Unclear);
    Decision { guess, runner_up, clash, statements }
}

/// The numbers that attribute, job file, comment and name give a copper file.
fn statements(loaded: &Loaded<'_>, readings: &[Guess]) -> Vec<Statement> {
    let told = readings.iter().any(|g| g.known_by == KnownBy::Told);
    let copper = readings.iter().filter(|g| g.role == Role::Copper && g.number != Number::None && !told);
    let mut out: Vec<Statement> =
        copper.map(|g| Statement { by: g.known_by, number: g.number.clone(), evidence: g.evidence.clone() }).collect();
    if matches!(loaded.kind, Kind::Artwork) && !told && !out.iter().any(|s| s.by == KnownBy::Content) {
        out.extend(comments::read(&loaded.file.bytes).order.map(|n| Statement {
            by: KnownBy::Content,
            number: Number::FromTop(n),
            evidence: format!("a comment in the file gives its place in the stack as {n}"),
        }));
    }
    out
}

fn by_told(told: &ToldRole) -> Guess {
    let mut guess = Guess::new(told.role, told.side, KnownBy::Told, 100, "told so by the user");
    if let Some(layer) = told.layer {
        guess.number = Number::FromTop(layer);
    }
    guess
}

fn by_attribute(loaded: &Loaded<'_>) -> Option<Guess> {
    if let Some(image) = &loaded.image {
        return roles::of_attributes(&image.file_attributes);
    }
    roles::of_attributes(&loaded.program.as_ref()?.statements.file_attributes)
}

fn by_job(loaded: &Loaded<'_>, job: Option<&Job>) -> Option<Guess> {
    job?.roles.get(&names::base(&loaded.file.path).to_lowercase()).cloned()
}

/// Whether a reading by name can be true of what the file holds.
fn fits(loaded: &Loaded<'_>, guess: &Guess) -> bool {
    match loaded.kind {
        Kind::Drill => is_holes(guess.role),
        // Drilled holes drawn as artwork are told from a drill drawing by what the name says of plating.
        Kind::Artwork => guess.role != Role::Holes,
        Kind::Empty | Kind::Other => {
            guess.role == Role::Drawing || super::extensions::is_data(&names::parts(&loaded.file.path).1)
        }
        Kind::Netlist | Kind::Job | Kind::Drawing => false,
    }
}

/// What the kind of file alone says.
fn by_kind(loaded: &Loaded<'_>) -> Guess {
    let (role, confidence, evidence) = match loaded.kind {
        Kind::Drill => return by_program(loaded),
        Kind::Artwork if drill_word(&loaded.file.path) => {
            (Role::Drawing, 60, "artwork whose name speaks of drilling is commonly a drill drawing")
        }
        Kind::Artwork => (Role::Unclear, 0, "neither attributes nor name say what it is"),
        Kind::Netlist => (Role::Netlist, 95, "its records are those of a netlist (IPC-D-356)"),
        Kind::Job => (Role::Job, 95, "its content is that of a job file"),
        Kind::Drawing => (Role::Drawing, 90, kind::telling(&loaded.file.bytes)),
        Kind::Empty => (Role::Other, 50, "it holds no bytes"),
        Kind::Other => (Role::Other, 60, kind::telling(&loaded.file.bytes)),
    };
    Guess::new(role, None, KnownBy::Content, confidence, evidence)
}

fn drill_word(path: &str) -> bool {
    super::words::of(names::parts(path).0).iter().any(|w| matches!(w.as_str(), "drill" | "drl" | "drills"))
}

fn by_program(loaded: &Loaded<'_>) -> Guess {
    use landgap_parser::drill::Plating;
    let stated = loaded.program.as_ref().and_then(|p| p.statements.plating);
    match stated {
        Some((plating, line)) => {
            let role = if plating == Plating::Plated { Role::PlatedHoles } else { Role::UnplatedHoles };
            Guess::new(role, None, KnownBy::Content, 85, format!("its header states the plating on line {line}"))
        }
        None => Guess::new(Role::Holes, None, KnownBy::Content, 80, "its content is a drill program"),
    }
}

/// Fills what the best reading leaves open from weaker ones that agree with it.
fn complete(guess: &mut Guess, rest: &[Guess]) {
    for other in rest.iter().filter(|o| o.role != Role::Unclear) {
        let agrees = !other.contradicts(guess);
        if !agrees {
            continue;
        }
        if guess.role == Role::Holes && is_holes(other.role) && guess.known_by >= KnownBy::Name {
            guess.role = other.role;
            guess.evidence = format!("{}; {}", guess.evidence, other.evidence);
        }
        if other.role == guess.role {
            guess.side = guess.side.or(other.side);
            guess.span = guess.span.or(other.span);
            if guess.number == Number::None {
                guess.number = other.number.clone();
            }
        }
    }
}

/// A contradiction worth telling: both readings come from a statement, not from mere content.
fn clash(guess: &Guess, rest: &[Guess]) -> Option<(Guess, Guess)> {
    if guess.known_by == KnownBy::Told {
        return None;
    }
    let counts = |g: &Guess| g.known_by <= KnownBy::Name && g.confidence >= 70 && g.role != Role::Unclear;
    let other = rest.iter().find(|o| counts(o) && counts(guess) && speaks_against(guess, o))?;
    Some((guess.clone(), other.clone()))
}

fn speaks_against(guess: &Guess, other: &Guess) -> bool {
    // Drawings carry the names of the layers they show, and a file may be named after a layer it stands beside.
    let drawn = |g: &Guess| matches!(g.role, Role::Drawing | Role::Other);
    let plating = matches!(
        (guess.role, other.role),
        (Role::PlatedHoles, Role::UnplatedHoles) | (Role::UnplatedHoles, Role::PlatedHoles)
    );
    plating || (guess.contradicts(other) && !drawn(guess) && !drawn(other))
}

/// What the user says of a layer's polarity stands in for what the file says itself.
pub(super) fn tell_polarity(loaded: &mut Loaded<'_>, told: &crate::check::Told) {
    const NAME: &str = ".FilePolarity";
    let Some(negative) = told.get(&loaded.file.path).and_then(|t| t.negative) else { return };
    let Some(image) = &mut loaded.image else { return };
    let value = if negative { "Negative" } else { "Positive" };
    image.file_attributes.retain(|a| a.name != NAME);
    image.file_attributes.push(landgap_parser::FileAttribute {
        name: NAME.to_owned(),
        values: vec![value.to_owned()],
        line: 0,
        in_comment: false,
    });
}

/// The doubt about a contradiction between two readings.
pub(super) fn doubt(path: &str, file: usize, strong: &Guess, weak: &Guess) -> Doubt {
    Doubt {
        rule: "unclear-role",
        seen: format!("{path} is {} by one piece of evidence and {} by another", strong.words(), weak.words()),
        reasons: vec![
            format!("for {}: {} ({})", strong.words(), strong.evidence, strong.known_by.word()),
            format!("for {}: {} ({})", weak.words(), weak.evidence, weak.known_by.word()),
            format!("taken as {}", strong.words()),
        ],
        sources: vec![Source { file: file as u32, line: 0 }],
        places: Vec::new(),
        readings: vec![strong.words(), weak.words()],
    }
}
