//! Empty files for inner layers that a set-up writes for boards that have none.

use super::job::Job;
use crate::board::{Board, KnownBy, Role, Side};

/// Where every inner copper file is empty and known by its name alone, and nothing else in the set speaks of more
/// than two layers, the files are slots of a set-up and no layers.
pub(super) fn set_apart(board: &mut Board, job: Option<&Job>) {
    let stated =
        job.and_then(|j| j.layers).is_some_and(|n| n > 2) || board.files.iter().filter_map(|f| f.span).any(|s| s.1 > 2);
    let inner = |i: &usize| board.files[*i].role == Role::Copper && board.files[*i].side == Some(Side::Inner);
    let empty = |i: &usize| board.images[*i].as_ref().is_some_and(|image| image.objects.is_empty());
    let all: Vec<usize> = (0..board.files.len()).filter(inner).collect();
    let by_name = all.iter().all(|i| board.files[*i].known_by >= KnownBy::Name);
    if stated || all.is_empty() || !by_name || !all.iter().all(empty) {
        return;
    }
    for &i in &all {
        let file = &mut board.files[i];
        file.role = Role::Other;
        file.side = None;
        file.runner_up = Some("an inner copper layer".to_owned());
        file.evidence
            .push("it is empty, as is every other inner layer, and nothing else speaks of inner layers".to_owned());
    }
    let list = all.iter().map(|&i| board.files[i].path.as_str()).collect::<Vec<_>>().join(", ");
    board
        .assumptions
        .push(format!("{list}: empty, and nothing in the set speaks of inner layers; taken for no layers"));
}
