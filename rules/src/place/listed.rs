//! Files that the job file lists and the set does not hold.

use super::guess::{Guess, is_holes};
use super::job::Job;
use super::load::Loaded;
use super::names;
use crate::board::{Board, Doubt, Role, Source};

/// Asks for what the job file lists and the board needs. Paste, drawings and other papers are no part of
/// the bare board and are told; copper, mask, holes and outline that are missed already gain a reason.
pub(super) fn check(loaded: &[Loaded<'_>], job: Option<&Job>, board: &mut Board) {
    let Some(job) = job else { return };
    let there =
        |listed: &str| loaded.iter().any(|l| names::base(&l.file.path).eq_ignore_ascii_case(names::base(listed)));
    let gone: Vec<&str> = job.listed.iter().map(String::as_str).filter(|l| !there(l)).collect();
    if gone.is_empty() {
        return;
    }
    let path = board.files[job.file].path.clone();
    board.assumptions.push(format!("{path} lists files the set does not hold: {}", gone.join(", ")));
    // Where hardly anything listed is there, the list is of other files, or they were renamed.
    if gone.len() * 2 > job.listed.len() {
        return;
    }
    let mut missing: Vec<(&str, &Guess)> = Vec::new();
    for listed in gone {
        let role = job.roles.get(&names::base(listed).to_lowercase());
        let Some(guess) = role.filter(|g| asked(g.role)) else { continue };
        match board.doubts.iter_mut().find(|d| d.rule == rule(guess.role)) {
            Some(doubt) => doubt.reasons.push(format!("{path} lists {listed} as the {}", guess.words())),
            None => missing.push((listed, guess)),
        }
    }
    if missing.is_empty() {
        return;
    }
    let words = |(listed, guess): &(&str, &Guess)| format!("{listed} ({})", guess.words());
    let list = missing.iter().map(words).collect::<Vec<_>>().join(", ");
    let without = missing.iter().map(|m| m.1.words()).collect::<Vec<_>>().join(" and ");
    board.doubts.push(Doubt {
        rule: "missing-layer",
        seen: format!("{path} lists {list}, which the set does not hold"),
        reasons: missing.iter().map(|(_, guess)| guess.evidence.clone()).collect(),
        sources: vec![Source { file: job.file as u32, line: 0 }],
        places: Vec::new(),
        readings: vec!["what is listed is sent".to_owned(), format!("the board is made without {without}")],
    });
}

const fn asked(role: Role) -> bool {
    matches!(role, Role::Copper | Role::Mask | Role::Legend | Role::Outline) || is_holes(role)
}

/// The rule that misses a file of this role.
const fn rule(role: Role) -> &'static str {
    match role {
        Role::Mask => "missing-mask",
        Role::Outline => "missing-outline",
        role if is_holes(role) => "missing-drill",
        _ => "missing-layer",
    }
}
