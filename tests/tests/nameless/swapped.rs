//! Two inner layers of a sound set exchanged: told wherever anything in the set speaks of the order.

use landgap_rules::board::{Board, Side};
use landgap_rules::check::InputFile;

use crate::common::{placed, read_set, shared};

/// Layers that are placed, like the next one below, by nothing but the names of the files: no attribute, comment, job
/// file, netlist layer, numeral in the copper or hole that ends inside speaks of the order, so the set
/// with two files exchanged is as sound a statement as before. A careful engineer takes such names at
/// their word (as an attribute is), and so the exchanged set is not asked about.
const NAMES_ALONE: [(&str, &str); 4] = [
    ("board-029", "v3-gps.internalplane1.ger"),
    // Two planes: the netlist of this set lists no conductor on either.
    ("board-031", "pgp006.pho"),
    ("board-060", "OBCI_V3_D - Layer 2 Copper.gbr"),
    ("board-062", "OBCI_V4_C - Layer 2 Copper.gbr"),
];

/// Sets whose inner layers have names without numbers: asked about as they are.
const ASKED_AS_SENT: [&str; 1] = ["board-053"];

fn order_doubts(board: &Board) -> Vec<String> {
    let own = board.doubts.iter().filter(|d| d.rule == "unclear-layer-order");
    own.map(|d| format!("{} {:?}", d.seen, d.readings)).collect()
}

fn exchanged(files: &[InputFile], a: &str, b: &str) -> Vec<InputFile> {
    let other = |path: &str| {
        if path == a {
            b.to_owned()
        } else if path == b {
            a.to_owned()
        } else {
            path.to_owned()
        }
    };
    files.iter().map(|f| InputFile { path: other(&f.path), bytes: f.bytes.clone() }).collect()
}

#[test]
fn exchanged_inner_layers_are_told_or_asked() {
    let Some(boards) = shared("boards") else { return };
    let mut sets: Vec<_> = std::fs::read_dir(&boards).expect("the folder can be read").flatten().collect();
    sets.sort_by_key(std::fs::DirEntry::file_name);
    let mut wrong = Vec::new();
    for set in sets.iter().filter(|e| e.path().is_dir()) {
        let name = set.file_name().to_string_lossy().into_owned();
        let files = read_set(&set.path());
        let sound = placed(&files);
        let path = |file: u32| sound.files[file as usize].path.as_str();
        let inner: Vec<u32> = sound.copper.iter().filter(|c| c.side == Side::Inner).map(|c| c.file).collect();
        let asked = order_doubts(&sound);
        if asked.is_empty() == ASKED_AS_SENT.contains(&name.as_str()) {
            wrong.push(format!("{name} as sent: {asked:?}"));
        }
        for pair in inner.windows(2) {
            let found = order_doubts(&placed(&exchanged(&files, path(pair[0]), path(pair[1]))));
            println!("{name}: {} and {} exchanged: {found:?}", path(pair[0]), path(pair[1]));
            if found.is_empty() != NAMES_ALONE.contains(&(name.as_str(), path(pair[0]))) {
                wrong.push(format!("{name}: {} and {} exchanged: {found:?}", path(pair[0]), path(pair[1])));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
