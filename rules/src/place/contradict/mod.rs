//! Where the data states something that the set contradicts, a remark says so; nothing is decided here.

mod among;
pub mod codes;
mod date;
mod job;
mod lands;
mod layers;
mod md5;

use std::collections::BTreeMap;

use landgap_parser::{Code, FileAttribute, Place, Remark};

use super::job::Job;
use super::load::Loaded;
use crate::board::Board;

/// Adds what the job files' reader noticed, and every contradiction, to the files concerned.
pub(super) fn check(loaded: &[Loaded<'_>], jobs: &[Job], board: &mut Board) {
    for job in jobs {
        board.files[job.file].remarks.extend(job.data.remarks.iter().cloned());
    }
    let stated = stated(loaded, board);
    let mut noted = Noted::default();
    among::check(loaded, &stated, board, &mut noted);
    layers::check(loaded, &stated, board, &mut noted);
    lands::check(board, &mut noted);
    job::check(jobs, &stated, board, &mut noted);
    for (file, remarks) in noted.by_file {
        board.files[file].remarks.extend(remarks);
    }
}

/// File attributes of every file, commands before comments.
type Stated = Vec<Vec<FileAttribute>>;

fn stated(loaded: &[Loaded<'_>], board: &Board) -> Stated {
    let of = |i: usize, file: &Loaded<'_>| {
        let image = board.images[i].as_ref().map(|image| image.file_attributes.clone());
        image.or_else(|| Some(file.program.as_ref()?.statements.file_attributes.clone())).unwrap_or_default()
    };
    loaded.iter().enumerate().map(|(i, file)| of(i, file)).collect()
}

/// The file attribute of a name, such as `.FileFunction`.
fn attribute<'a>(stated: &'a [FileAttribute], name: &str) -> Option<&'a FileAttribute> {
    stated.iter().find(|a| a.name.trim_start_matches('.') == name.trim_start_matches('.'))
}

/// Remarks by file, each code once a file with the rest counted.
#[derive(Debug, Default)]
struct Noted {
    by_file: BTreeMap<usize, Vec<Remark>>,
}

impl Noted {
    fn add(&mut self, file: usize, line: u32, code: &'static Code, found: String, expected: impl Into<String>) {
        let list = self.by_file.entry(file).or_default();
        if let Some(earlier) = list.iter_mut().find(|r| std::ptr::eq(r.code, code)) {
            earlier.more = earlier.more.saturating_add(1);
            return;
        }
        let place = Place { line: line.max(1), column: 1, offset: 0 };
        list.push(Remark { code, place, found, expected: expected.into(), more: 0, two_readings: Vec::new() });
    }
}
