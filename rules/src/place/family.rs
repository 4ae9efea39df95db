//! Files left in a set from another revision or product, by their names.

use std::collections::BTreeMap;

use landgap_parser::kind::Kind;

use super::guess::Guess;
use super::load::Loaded;
use super::{names, words};
use crate::board::{Board, Doubt, KnownBy, Role, Source};

/// Where nearly all data files share one name and differ in the extension, those of another name that
/// repeat a role, or have none, are set apart.
pub(super) fn set_apart(loaded: &[Loaded<'_>], board: &mut Board, guesses: &mut [Guess]) {
    let Some(stem) = common_stem(loaded) else { return };
    let data = |i: &usize| matches!(loaded[*i].kind, Kind::Artwork | Kind::Drill);
    let own: Vec<usize> =
        (0..loaded.len()).filter(data).filter(|&i| names::parts(&loaded[i].file.path).0 == stem).collect();
    let apart: Vec<usize> =
        (0..loaded.len()).filter(data).filter(|&i| strange(board, guesses, &own, i, stem)).collect();
    if apart.is_empty() {
        return;
    }
    let list = apart.iter().map(|&i| board.files[i].path.as_str()).collect::<Vec<_>>().join(", ");
    board.doubts.push(Doubt {
        rule: "rival-sets",
        seen: format!("{list}: named otherwise than the rest of the set, and not needed beside it"),
        reasons: vec![
            format!("{} data files are named \"{stem}\"", own.len()),
            "the files named otherwise are left out".to_owned(),
        ],
        sources: apart.iter().map(|&i| Source { file: i as u32, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![
            format!("the files named \"{stem}\" govern"),
            "the others belong to the board as well, to be explained".to_owned(),
        ],
    });
    for i in apart {
        let file = &mut board.files[i];
        file.runner_up = (file.role != Role::Unclear).then(|| guesses[i].words());
        file.evidence.push(format!("its name differs from \"{stem}\", the name of the set's other files"));
        file.role = Role::Other;
        file.side = None;
        file.confidence = 60;
        file.known_by = KnownBy::Name;
        guesses[i] = Guess::new(Role::Other, None, KnownBy::Name, 60, "named otherwise than the set");
    }
}

/// The stem that most data files share, with different extensions.
fn common_stem<'a>(loaded: &'a [Loaded<'_>]) -> Option<&'a str> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    let data = || loaded.iter().filter(|l| matches!(l.kind, Kind::Artwork | Kind::Drill));
    for file in data() {
        *counts.entry(names::parts(&file.file.path).0).or_default() += 1;
    }
    let (stem, count) = counts.into_iter().max_by_key(|c| c.1)?;
    (count >= 5 && count * 3 >= data().count() * 2).then_some(stem)
}

/// A file of a like but other name whose role the set's own files have already, or that has none.
fn strange(board: &Board, guesses: &[Guess], own: &[usize], i: usize, stem: &str) -> bool {
    let file = &board.files[i];
    let own_stem = names::parts(&file.path).0;
    let alike = words::of(own_stem).first() == words::of(stem).first() && !own_stem.starts_with(stem);
    let spoken = file.known_by < KnownBy::Name;
    let repeated = own.iter().any(|&o| {
        board.files[o].role == file.role && guesses[o].side == guesses[i].side && guesses[i].number == guesses[o].number
    });
    own_stem != stem && alike && !spoken && (file.role == Role::Unclear || repeated)
}
