//! No remark without a reason: every code raised on a real set stands here with why, checked by
//! looking into the files, and with what must be seen on the line it names. A code that is new on a
//! set fails, and so does one that is gone.

use std::collections::BTreeSet;

use landgap_parser::{Limits, Remark};
use landgap_rules::check::Told;

use super::support::{checking_data, folder, sets};

/// What a line must show for the remark to be true of it.
type Witness = fn(&str) -> bool;

/// Code, why it is right, what its line shows, and the sets that have it.
type Row = (&'static str, &'static str, Witness, &'static [u32]);

const ROWS: [Row; 33] = [
    (
        "artwork-arc-short",
        "the arc ends less than 1 µm from where it starts: neighbouring points of the file's grid",
        |line| line.contains('I') && line.contains('J'),
        &[6, 26, 42, 58],
    ),
    (
        "artwork-combined-word",
        "the plot mode and a coordinate, or two G codes, stand in one word (on set 69 with a line break between)",
        |line| line.starts_with("G0") && !line.ends_with("G01*") || line.matches('G').count() > 1,
        &[6, 20, 31, 42, 53, 60, 62, 66, 67, 69],
    ),
    (
        "artwork-contour-open",
        "34 contours of the bottom layer end elsewhere than they start; an independent count of the text gives 34 too",
        |line| line.contains("D01"),
        &[69],
    ),
    (
        "artwork-contour-overlaps",
        "two edges lie on one another in part; found in the text without our reader, at the same points",
        |line| line.contains("D01"),
        &[53, 59],
    ),
    (
        "artwork-contour-touches",
        "a corner of the contour lies on another of its edges; what it fills is clear",
        |line| line.contains("D01") || line.contains('X') || line.contains('Y'),
        &[53, 67],
    ),
    (
        "netlist-header-columns",
        "the keyword of a parameter stands in column 3",
        |line| line.starts_with("P ") && !line.starts_with("P  "),
        &[31],
    ),
    ("netlist-header-unknown", "a parameter the standard does not list", |line| line.starts_with("P  "), &[9, 12]),
    (
        "netlist-mask-early",
        "the mask code stands in column 72, one to the left of its field",
        |line| line.as_bytes().get(71) == Some(&b'S'),
        &[9, 12],
    ),
    ("netlist-net-blank", "the net field is blank", |line| line[3..17].trim().is_empty(), &[36]),
    ("netlist-one-corner", "a conductor of a single corner", |line| line.starts_with("378"), &[31]),
    ("netlist-size-full", "the size field is full: 9999", |line| line.contains("9999"), &[36]),
    (
        "artwork-dot-drawn",
        "the draw ends where it starts",
        |line| line.contains('X') || line.contains('Y'),
        &[21, 22, 26, 29, 31, 32, 33, 36, 44, 53, 58, 69, 80, 87],
    ),
    ("artwork-empty-word", "a line holds nothing but *", |line| line.trim() == "*", &[31]),
    (
        "artwork-format-low",
        "three or four decimals",
        |line| line.contains("%FS") && (line.contains("4Y") || line.contains("3Y")),
        &[21, 26, 29, 33, 44, 53, 58, 59, 67, 80],
    ),
    ("artwork-format-no-zeros", "FSAX, without L or T", |line| line.contains("%FSAX"), &[26, 44, 58, 59]),
    (
        "artwork-hole-outside",
        "the hole is as wide as the disc it stands in",
        |line| line.contains("C,0.254X0.254"),
        &[22],
    ),
    ("artwork-image-transform", "the whole image is mirrored (MI)", |line| line.contains("MIA1B0"), &[42]),
    ("artwork-legacy-notation", "G90", |line| line.starts_with("G90"), &[53]),
    (
        "artwork-legacy-unit",
        "G70 or G71 gives the unit, alone or beside MO",
        |line| line.starts_with("G70") || line.starts_with("G71"),
        &[21, 26, 33, 44, 53, 58, 59, 80],
    ),
    (
        "artwork-macro-upper-x",
        "the macro multiplies with X: 1.08239X$1",
        |line| line.contains("AM") || line.contains("X$1"),
        &[21, 29, 33, 80],
    ),
    (
        "artwork-modal-draw",
        "a coordinate after a draw has no D code",
        |line| !line.contains('D') && (line.contains('X') || line.contains('Y')),
        &[31, 60, 62, 66],
    ),
    ("artwork-name", "IN or LN names the image", |line| line.starts_with("%IN") || line.starts_with("%LN"), &[31, 67]),
    (
        "artwork-offset-missing",
        "an arc has only one of I and J",
        |line| line.contains('I') != line.contains('J'),
        &[60, 62, 66],
    ),
    (
        "artwork-operation-missing",
        "a coordinate after a move has no D code",
        |line| !line.contains('D') && line.contains('X'),
        &[60, 62],
    ),
    (
        "artwork-plot-mode-undefined",
        "no G01, G02 or G03 stands before the first draw",
        |line| line.contains("D01"),
        &[21, 29, 33, 60, 62, 66, 67, 80],
    ),
    (
        "artwork-region-no-move",
        "a draw, with or without its D code, follows G36; the move stands before it",
        |line| !line.contains("D02"),
        &[60, 62, 66],
    ),
    ("artwork-select-prefix", "G54 before the aperture", |line| line.starts_with("G54D"), &[6, 31, 42, 53, 67]),
    (
        "artwork-stroke-rectangle",
        "an aperture R is drawn along a line",
        |line| line.contains("D01") || line.contains("D02"),
        &[67],
    ),
    (
        "drill-format-assumed",
        "header or picture leave zeros or digits open, and numbers have no point",
        |_| true,
        &[20, 21, 29, 31, 33, 42, 60, 62, 66, 80],
    ),
    ("drill-header-missing", "no M48", |line| !line.contains("M48"), &[31, 42]),
    ("drill-no-hits", "the program of non-plated holes has none", |line| line.starts_with("M30"), &[51]),
    ("drill-tool-by-order", "holes follow without any tool code", |line| line.starts_with('X'), &[42]),
    ("set-job-file-unlisted", "the job file lists no drill program, and the set has two", |_| true, &[32, 87]),
];

/// Remarks of every file of every set, by number of the set, with the line they name.
type Raised = Vec<(u32, String, Remark, String)>;

/// Worked out once for both tests.
fn raised() -> Option<&'static Raised> {
    static RAISED: std::sync::OnceLock<Option<Raised>> = std::sync::OnceLock::new();
    RAISED.get_or_init(look).as_ref()
}

fn look() -> Option<Raised> {
    let boards = checking_data("boards")?;
    let mut raised = Vec::new();
    for name in sets(&boards) {
        let files = folder(&boards.join(&name));
        let board = landgap_rules::place::place(&files, &Told::new(), &Limits::default(), &|_| {});
        let number: u32 = name.trim_start_matches("board-").parse().expect("the number of a set");
        for file in board.files {
            let bytes = &files.iter().find(|f| f.path == file.path).expect("the file").bytes;
            let text = String::from_utf8_lossy(bytes).into_owned();
            let lines: Vec<&str> = text.lines().collect();
            for remark in file.remarks {
                let line = (remark.place.line as usize).checked_sub(1).and_then(|n| lines.get(n)).copied();
                raised.push((number, file.path.clone(), remark, line.unwrap_or_default().to_owned()));
            }
        }
    }
    Some(raised)
}

#[test]
fn every_remark_on_a_real_set_has_its_reason() {
    let Some(raised) = raised() else { return };
    let found: BTreeSet<(u32, &str)> = raised.iter().map(|(set, _, remark, _)| (*set, remark.code.id)).collect();
    let explained: BTreeSet<(u32, &str)> =
        ROWS.iter().flat_map(|(code, _, _, sets)| sets.iter().map(move |set| (*set, *code))).collect();
    let new: Vec<_> = found.difference(&explained).collect();
    let gone: Vec<_> = explained.difference(&found).collect();
    assert!(new.is_empty(), "without a reason (look into the file, then add a row or mend the reader): {new:?}");
    assert!(gone.is_empty(), "no longer raised (take off the list): {gone:?}");
}

#[test]
fn every_remark_shows_its_reason_on_its_line() {
    let Some(raised) = raised() else { return };
    let mut wrong = Vec::new();
    for (set, path, remark, line) in raised {
        let Some((_, why, witness, _)) = ROWS.iter().find(|(code, ..)| *code == remark.code.id) else { continue };
        if !witness(line) {
            wrong.push(format!("{set} {path} line {}: {} ({why}): {line}", remark.place.line, remark.code.id));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The sums that two sets carry (Gerber layer format 2021.02, 5.6.9) are those of their bytes; with
/// one byte changed they are not.
#[test]
fn checksums_of_real_files_hold_until_a_byte_changes() {
    let Some(boards) = checking_data("boards") else { return };
    for name in ["board-022", "board-050"] {
        let mut files = folder(&boards.join(name));
        let carry = |bytes: &[u8]| bytes.windows(7).any(|w| w == b"%TF.MD5");
        assert_eq!(files.iter().filter(|f| carry(&f.bytes)).count(), 7, "{name}");
        for file in files.iter_mut().filter(|f| carry(&f.bytes)) {
            let at = file.bytes.iter().position(|b| *b == b'0').expect("a digit");
            file.bytes[at] = b'1';
        }
        let board = landgap_rules::place::place(&files, &Told::new(), &Limits::default(), &|_| {});
        let wrong = board.files.iter().filter(|f| f.remarks.iter().any(|r| r.code.id == "set-checksum")).count();
        assert_eq!(wrong, 7, "{name}");
    }
}
