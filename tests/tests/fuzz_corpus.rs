//! Replays what fuzzing found, and the faithful round trip over every file of the corpus.
//!
//! What must hold is written once, beside the fuzzing targets.

use std::path::{Path, PathBuf};

use landgap_parser::Limits;
use landgap_parser::kind::{Kind, detect};

#[path = "../fuzz/src/properties/mod.rs"]
mod properties;

/// How many places a file is cut at.
const CUTS: usize = 12;

fn here(part: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(part)
}

/// All files below a folder, in order of path.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut open = vec![folder.to_path_buf()];
    let mut out = Vec::new();
    while let Some(folder) = open.pop() {
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for entry in entries {
            let path = entry.expect("readable entry").path();
            if path.is_dir() { open.push(path) } else { out.push(path) }
        }
    }
    out.sort();
    out
}

/// Runs a check on every kept input of a target; the failing file is named before the panic.
fn replay(target: &str, holds: fn(&[u8])) {
    let corpus = files(&here("fuzz/corpus").join(target));
    assert!(corpus.len() >= 5, "the corpus of {target} holds {} files", corpus.len());
    let regressions = here("fuzz/regressions").join(target);
    let found = if regressions.is_dir() { files(&regressions) } else { Vec::new() };
    for path in corpus.iter().chain(&found) {
        println!("{}", path.display());
        holds(&std::fs::read(path).expect("readable file"));
    }
}

#[test]
fn artwork_findings_hold() {
    replay("artwork", properties::artwork::holds);
}

#[test]
fn drill_findings_hold() {
    replay("drill", properties::drill::holds);
}

#[test]
fn netlist_findings_hold() {
    replay("netlist", properties::netlist::holds);
}

#[test]
fn job_findings_hold() {
    replay("job", properties::job::holds);
}

#[test]
fn set_findings_hold() {
    replay("set", properties::set::holds);
}

/// Reads, writes, reads and cuts every artwork and drill file of a folder; says how many of each.
fn faithful(folder: &Path) -> (usize, usize) {
    let mut count = (0, 0);
    for path in files(folder) {
        let bytes = std::fs::read(&path).expect("readable file");
        println!("{}", path.display());
        match detect(&bytes) {
            Kind::Artwork => {
                properties::artwork::holds_within(&bytes, &Limits::default(), CUTS);
                count.0 += 1;
            }
            Kind::Drill => {
                properties::drill::holds_within(&bytes, &Limits::default(), CUTS);
                count.1 += 1;
            }
            _ => {}
        }
    }
    count
}

#[test]
fn the_corpus_survives_writing_and_cutting() {
    let (artwork, drill) = faithful(&here("../corpus"));
    assert!(artwork >= 150 && drill >= 5, "{artwork} artwork and {drill} drill files");
}

#[test]
fn the_checking_boards_survive_writing_and_cutting() {
    let folder = here("../../shared/boards");
    if !folder.is_dir() {
        return println!("skipped: the checking data (boards) are not on this machine");
    }
    let (artwork, drill) = faithful(&folder);
    assert!(artwork > 100 && drill > 20, "{artwork} artwork and {drill} drill files");
}

/// Unknown words, combined codes, points and comments in odd places are what a writer loses first
/// (Gerber layer format specification 2024.05, clauses 3.3 and 4.1; the rest is common practice).
#[test]
fn words_a_writer_could_lose_are_kept() {
    let words = "G04 a%b*\nX1.5Y2D01*\nG99X1D03*\nX41G04 x*\nG54D11*\nG1X1\r\nY2D1*%LPD*LPC*%G70D12X1M02*";
    properties::artwork::holds_within(words.as_bytes(), &Limits::default(), CUTS);
    let (commands, _) = landgap_parser::artwork::read_commands(words.as_bytes(), &Limits::default()).expect("small");
    let written = landgap_parser::artwork::write_commands(words.as_bytes(), &commands);
    let expected =
        "G04 a%b*\nX1.5Y2D01*\nG99X1D03*\nG04 x*\nX41*\nD11*\nG01*\nX1Y2D01*\n%LPD*%\n%LPC*%\nG70D12X1M02*\n";
    assert_eq!(String::from_utf8_lossy(&written), expected);
}

/// Lines end in LF, blanks go, letters are upper case, and what is no word stays (common practice, no source).
#[test]
fn drill_lines_are_written_in_one_style() {
    let text = "M48\r\nmetric,tz\r\nT1C.5\r\n%\r\n\r\nt01\rx 1.5 y-02 ; left\r\nX Y3\r\n/X1\r\nM30\r\n";
    properties::drill::holds_within(text.as_bytes(), &Limits::default(), CUTS);
    let program = landgap_parser::drill::read(text.as_bytes(), &Limits::default()).expect("small");
    let written = landgap_parser::drill::write_commands(text.as_bytes(), &program);
    let expected = "M48\nmetric,tz\nT1C.5\n%\nT01\nX1.5Y-02; left\nX Y3\n/X1\nM30\n";
    assert_eq!(String::from_utf8_lossy(&written), expected);
}
