//! One layer of a sound set mirrored, moved or left out: told in every case that the data decide.

use std::collections::BTreeMap;

use landgap_rules::board::{Board, PlacedFile, Role, Side};
use landgap_rules::check::InputFile;

use crate::change::{Change, artwork, mirrored_drill};
use crate::common::{placed, read_set, shared};

/// (what was done, to what) and how many cases were told, of how many.
type Table = BTreeMap<(&'static str, &'static str), (usize, usize)>;

/// Questions of a set, as sentences.
fn questions(board: &Board) -> Vec<String> {
    let mut out: Vec<String> = board.doubts.iter().map(|d| format!("{}: {}", d.rule, d.seen)).collect();
    out.sort();
    out
}

fn kind(file: &PlacedFile) -> Option<&'static str> {
    Some(match (file.role, file.side) {
        (Role::Copper, Some(Side::Inner)) => "inner copper",
        (Role::Copper, _) => "outer copper",
        (Role::Mask, _) => "mask",
        (Role::Paste, _) => "paste",
        (Role::Legend, _) => "legend",
        (Role::Outline, _) => "outline",
        (Role::PlatedHoles | Role::Holes, _) => "plated holes",
        (Role::UnplatedHoles, _) => "non-plated holes",
        _ => return None,
    })
}

/// The set with one file's bytes replaced, or left out.
fn with(files: &[InputFile], path: &str, bytes: Option<Vec<u8>>) -> Vec<InputFile> {
    let mut out: Vec<InputFile> = files.iter().filter(|f| f.path != path).cloned().collect();
    out.extend(bytes.map(|bytes| InputFile { path: path.to_owned(), bytes }));
    out
}

fn cases(files: &[InputFile], file: &PlacedFile, is_artwork: bool) -> Vec<(&'static str, Vec<InputFile>)> {
    let bytes = &files.iter().find(|f| f.path == file.path).expect("its file").bytes;
    let mirrored = if is_artwork { artwork(bytes, Change::Mirror) } else { mirrored_drill(bytes) };
    let moved = artwork(bytes, Change::Shift(500_000, 300_000)).filter(|_| is_artwork);
    let mut out = vec![("left out", with(files, &file.path, None))];
    out.extend(mirrored.map(|b| ("mirrored", with(files, &file.path, Some(b)))));
    out.extend(moved.map(|b| ("moved", with(files, &file.path, Some(b)))));
    out
}

fn look(set: &str, files: &[InputFile], table: &mut Table) {
    let sound = placed(files);
    let before = questions(&sound);
    for (file, image) in sound.files.iter().zip(&sound.images) {
        let Some(kind) = kind(file).filter(|_| image.as_ref().is_none_or(|i| !i.objects.is_empty())) else { continue };
        for (what, changed) in cases(files, file, image.is_some()) {
            let told = questions(&placed(&changed)).iter().any(|q| !before.contains(q));
            let entry = table.entry((what, kind)).or_default();
            *entry = (entry.0 + usize::from(told), entry.1 + 1);
            if !told {
                println!("not told: {set}: {what} {kind} {}", file.path);
            }
        }
    }
}

/// What must be told, in hundredths of the cases. The rest is not decidable: a set of one file cannot
/// contradict itself; nothing but an order says that paste or legend is missing; an outline moved by
/// half a millimetre, or a legend that no mask cut and that has few characters, fits as well as before.
const LEAST: [((&str, &str), usize); 12] = [
    (("left out", "outer copper"), 98),
    (("left out", "inner copper"), 100),
    (("left out", "mask"), 100),
    (("left out", "outline"), 100),
    (("left out", "plated holes"), 90),
    (("mirrored", "outer copper"), 98),
    (("mirrored", "inner copper"), 100),
    (("mirrored", "mask"), 96),
    (("mirrored", "outline"), 100),
    (("mirrored", "plated holes"), 100),
    (("moved", "outer copper"), 98),
    (("moved", "inner copper"), 98),
];

#[test]
fn a_layer_out_of_place_is_told() {
    let Some(boards) = shared("boards") else { return };
    let mut table = Table::new();
    let mut sets: Vec<_> = std::fs::read_dir(&boards).expect("the folder can be read").flatten().collect();
    sets.sort_by_key(std::fs::DirEntry::file_name);
    for set in sets.iter().filter(|e| e.path().is_dir()) {
        look(&set.file_name().to_string_lossy(), &read_set(&set.path()), &mut table);
    }
    for ((what, kind), (told, all)) in &table {
        println!("{what:9} {kind:17} told {told:3} of {all:3}");
    }
    for (key, least) in LEAST {
        let (told, all) = table.get(&key).copied().unwrap_or_default();
        assert!(all > 0 && told * 100 >= all * least, "{key:?}: {told} of {all} told, {least} % wanted");
    }
}
