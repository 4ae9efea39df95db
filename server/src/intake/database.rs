//! A design program's own database, known by its folders: set apart as a whole and asked about.

use std::collections::{BTreeMap, BTreeSet};

use landgap_parser::kind::{Kind as FileKind, detect};

use super::refused::Refused;
use crate::fault::{Fault, Kind};

/// The folders such a database keeps side by side; the layers lie inside each step.
const MATRIX: &str = "matrix/matrix";
const STEPS: &str = "steps/";
const LAYERS: &str = "/layers/";

const WORDS: &str = "it is a design program's own database (folders matrix, steps and layers), which is not read; \
                     send layered artwork, drill programs and the netlist instead, in a zip";

/// Takes the files of databases out, and notes each database once.
pub fn set_apart(files: &mut BTreeMap<String, Vec<u8>>, refused: &mut Vec<Refused>) {
    for root in roots(files) {
        // Artwork that lies somewhere in the database is data as any other.
        files.retain(|path, bytes| {
            !path.starts_with(&root) || matches!(detect(bytes), FileKind::Artwork | FileKind::Drill)
        });
        refused.retain(|r| !r.path.starts_with(&root));
        let shown = root.trim_end_matches('/');
        let shown = if shown.is_empty() { "the set" } else { shown };
        refused.push(Refused::new(shown, Fault::new(Kind::UnreadArchive, WORDS)));
    }
}

/// Folders, with their `/`, that hold a matrix and steps with layers.
fn roots(files: &BTreeMap<String, Vec<u8>>) -> BTreeSet<String> {
    let with_matrix = files.keys().filter_map(|path| {
        let root = path.strip_suffix(MATRIX)?;
        (root.is_empty() || root.ends_with('/')).then(|| root.to_owned())
    });
    let has_layers = |root: &String| {
        let inside = files.range(root.clone()..).map(|(p, _)| p).take_while(|p| p.starts_with(root.as_str()));
        inside.filter_map(|p| p[root.len()..].strip_prefix(STEPS)).any(|p| p.contains(LAYERS))
    };
    with_matrix.filter(has_layers).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(paths: &[&str]) -> BTreeMap<String, Vec<u8>> {
        paths.iter().map(|p| ((*p).to_owned(), b"UNITS=MM\n".to_vec())).collect()
    }

    #[test]
    fn a_database_is_set_apart_and_its_neighbours_stay() {
        let mut files = set(&["b.tgz/job/matrix/matrix", "b.tgz/job/steps/pcb/layers/top/features", "a.txt"]);
        let mut refused = Vec::new();
        set_apart(&mut files, &mut refused);
        assert_eq!(files.keys().collect::<Vec<_>>(), ["a.txt"]);
        assert!(refused[0].path == "b.tgz/job" && refused[0].why.contains("layered artwork"));
    }

    #[test]
    fn folders_of_like_names_are_no_database() {
        for paths in
            [&["matrix/matrix"][..], &["steps/a/layers/x", "x/matrix"], &["my-matrix/matrix", "steps/a/layers/x"]]
        {
            let mut files = set(paths);
            set_apart(&mut files, &mut Vec::new());
            assert_eq!(files.len(), paths.len());
        }
    }
}
