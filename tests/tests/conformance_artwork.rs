//! The artwork reader against the Gerber layer format, through its public doors only.
//!
//! Every situation is a file of its own under `corpus/conformance/artwork`, in a folder named after
//! its chapter of the standard; the first line of each file gives its id, clause and truth. Clauses
//! are those of revision 2021.02 of the standard unless another is named. "Derived" marks results
//! that follow from its rules by hand.

#[path = "conformance_artwork/arcs.rs"]
mod arcs;
#[path = "conformance_artwork/attributes.rs"]
mod attributes;
#[path = "conformance_artwork/coordinates.rs"]
mod coordinates;
#[path = "conformance_artwork/deprecated.rs"]
mod deprecated;
#[path = "conformance_artwork/expressions.rs"]
mod expressions;
#[path = "conformance_artwork/harness.rs"]
mod harness;
#[path = "conformance_artwork/images.rs"]
mod images;
#[path = "conformance_artwork/negative.rs"]
mod negative;
#[path = "conformance_artwork/shapes.rs"]
mod shapes;

use std::collections::BTreeMap;

use harness::*;
use landgap_parser::artwork::{What, read_commands};
use landgap_parser::{Limits, Severity};

/// Ids are given once, and each file says what it shows in a comment any reader skips.
#[test]
fn each_file_names_itself() {
    let mut ids: BTreeMap<String, String> = BTreeMap::new();
    for (name, bytes) in all_files() {
        let text = String::from_utf8(bytes).unwrap_or_else(|_| panic!("{name}: not UTF-8"));
        let first = text.strip_prefix("G04 ").and_then(|t| t.split_once('*')).map(|(first, _)| first);
        let parts: Vec<&str> = first.unwrap_or_else(|| panic!("{name}: no comment")).split(" | ").collect();
        assert!(parts.len() == 3 && parts[1].starts_with("clause "), "{name}: id, clause and truth, found {parts:?}");
        let earlier = ids.insert(parts[0].to_owned(), name.clone());
        assert_eq!(earlier, None, "{}: {name} has the id of another file", parts[0]);
    }
    let rows = (1..=13).chain(20..=36).chain(40..=55).chain(60..=71).chain(80..=94).chain(100..=101).chain(110..=115);
    let missing: Vec<String> = rows.map(|n| format!("G-{n:03}")).filter(|id| !ids.contains_key(id)).collect();
    assert!(missing.is_empty(), "no file for {missing:?}");
}

/// Every byte of a command's word stands where its place says, and the faithful level loses nothing.
#[test]
fn commands_stand_where_they_say() {
    for (name, bytes) in all_files() {
        let (commands, _) = read_commands(&bytes, &Limits::default()).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert!(matches!(commands.first().map(|c| c.what), Some(What::Comment(_))), "{name}: {:?}", commands.first());
        for command in &commands {
            let before = &bytes[..command.place.offset as usize];
            let line = before.iter().filter(|b| **b == b'\n').count() + 1;
            let column = before.iter().rev().take_while(|b| **b != b'\n').count() + 1;
            assert_eq!((command.place.line, command.place.column), (line as u32, column as u32), "{name}: {command:?}");
            let behind = bytes.get((command.place.offset + command.length) as usize);
            assert!(matches!(behind, Some(b'*' | b'%')), "{name}: {command:?}");
        }
    }
}

/// The same bytes give the same image and the same remarks; a file cut anywhere never stops the reader.
#[test]
fn cut_anywhere_the_reader_still_answers() {
    for (name, bytes) in all_files() {
        let whole = format!("{:?}", read(&bytes));
        assert_eq!(whole, format!("{:?}", read(&bytes)), "{name}");
        for cut in 0..bytes.len() {
            let part = read(&bytes[..cut]);
            let complete = part.remarks.iter().any(|r| r.code.severity >= Severity::Error);
            let ends = matches!(part.commands.last().map(|c| c.what), Some(What::End));
            assert!(complete || ends, "{name} cut at {cut}: no remark that the file is cut short");
        }
    }
}
