//! The job file reader, through its public doors only.
//!
//! Situations stand as files under `corpus/conformance/job`; its README names the clause of each.
//! No published text of the format was at hand, so keys are those seen in use; the notation is
//! RFC 8259, file functions are those of the Gerber layer format 2021.02, 5.6.3.

#[path = "conformance_job/contradictions.rs"]
mod contradictions;

use std::path::Path;

use landgap_parser::job::{self, FilePolarity, Job, LayerKind, Rule, Side, function};
use landgap_parser::{Limits, Severity};

fn read(bytes: &[u8]) -> Job {
    job::read(bytes, &Limits::default()).expect("within limits")
}

fn bytes(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus/conformance/job").join(name);
    std::fs::read(path.with_extension("gbrjob")).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Remarks as "severity id line:column more".
fn said(job: &Job) -> Vec<String> {
    let words = |r: &landgap_parser::Remark| {
        let place = r.place;
        format!("{} {} {}:{} +{}", r.code.severity.word(), r.code.id, place.line, place.column, r.more)
    };
    job.remarks.iter().map(words).collect()
}

#[track_caller]
fn load(name: &str, remarks: &[&str]) -> Job {
    let job = read(&bytes(name));
    assert_eq!(said(&job), remarks, "{name}: {:#?}", job.remarks);
    job
}

#[test]
fn j_001_every_key_is_read() {
    let job = load("complete", &[]);
    let header = &job.header;
    let text = |t: &Option<job::Stated<String>>| t.as_ref().map(|s| s.value.clone()).unwrap_or_default();
    assert_eq!([&header.vendor, &header.application, &header.version].map(text), ["Tarn Row", "Bench", "1.4"]);
    assert_eq!(text(&header.created), "2026-03-02T09:30:00+01:00");
    let board = &job.specifications;
    let project = [&board.project.name, &board.project.guid, &board.project.revision].map(text);
    assert_eq!(project, ["buoy-logger", "62756f79-2d6c-4f67-8765-722d74617266", "B"]);
    assert_eq!(board.size.map(|s| (s.value.x, s.value.y)), Some((50_800_000, 22_860_000)));
    assert_eq!(board.layers.map(|l| (l.value, l.place.line, l.place.column)), Some((4, 9, 20)));
    assert_eq!(board.thickness.map(|t| t.value), Some(1_600_000));
    let flags = [board.impedance_controlled, board.edge_plating, board.castellated];
    assert_eq!(flags.map(|f| f.map(|f| f.value)), [Some(true), Some(false), Some(true)]);
    let words = [&board.finish, &board.edge_connector, &board.ipc_6012_class, &board.via_protection].map(text);
    assert_eq!(words, ["ENIG", "No", "2", "IVb"]);
    assert_eq!(board.ipc_2221_type.map(|t| t.value), Some(3));
}

#[test]
fn j_001_every_list_is_read() {
    let job = load("complete", &[]);
    let rules: Vec<_> = job.design_rules[0].least.iter().map(|(rule, least)| (*rule, least.value)).collect();
    let wanted = [
        (Rule::PadToPad, 200_000),
        (Rule::PadToTrack, 150_000),
        (Rule::TrackToTrack, 125_000),
        (Rule::LineWidth, 100_000),
        (Rule::TrackToRegion, 250_000),
        (Rule::RegionToRegion, 300_000),
    ];
    assert_eq!(rules, wanted);
    let sides: Vec<_> = job.design_rules.iter().map(|r| r.layers).collect();
    assert_eq!(sides, [Some(Side::Outer), Some(Side::Inner)]);
    let files: Vec<_> = job.files.iter().map(|f| (f.path.as_str(), f.polarity.map(|p| p.value))).collect();
    let (positive, negative) = (Some(FilePolarity::Positive), Some(FilePolarity::Negative));
    assert_eq!(files, [("logger-copper-1.gbr", positive), ("layers/logger-mask-top.gbr", negative)]);
    let stack: Vec<_> = job.stack.iter().map(|l| (l.kind, l.thickness.map(|t| t.value))).collect();
    let wanted = [
        (LayerKind::Legend, None),
        (LayerKind::Paste, None),
        (LayerKind::Mask, Some(20_000)),
        (LayerKind::Copper, Some(35_000)),
        (LayerKind::Dielectric, Some(210_400)),
        (LayerKind::Other, None),
    ];
    assert_eq!(stack, wanted);
    let sheet = &job.stack[4];
    assert_eq!(sheet.dielectric_constant.map(|d| d.value.to_f64()), Some(4.5));
    assert_eq!(sheet.loss_tangent.map(|d| d.value.to_f64()), Some(0.02));
    let words = [&sheet.material, &sheet.name, &sheet.notes, &job.stack[0].colour];
    assert_eq!(
        words.map(|t| t.as_ref().map(|s| s.value.as_str())),
        ["FR4", "prepreg", "two sheets", "White"].map(Some)
    );
}

#[test]
fn j_002_j_003_what_is_not_plain_json() {
    assert_eq!(load("byte-order-mark", &[]).specifications.layers.map(|l| l.value), Some(2));
    load("old-text", &["info job-old-text 1:1 +0"]);
    let empty = read(b" \r\n");
    assert_eq!(said(&empty), ["fatal job-empty 1:1 +0"]);
    let wide: Vec<u8> = "{\"Header\":{}}".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let marked = [b"\xFF\xFE".as_slice(), &wide].concat();
    assert_eq!(said(&read(&marked)), ["fatal job-not-text 1:1 +0"]);
}

#[test]
fn j_004_wrong_types_are_told_with_their_place() {
    let job = load("wrong-types", &["warning job-wrong-type 3:20 +3"]);
    let remark = job.remarks[0].to_string();
    assert!(remark.contains("a list of 1 for LayerNumber") && remark.contains("a number"), "{remark}");
    assert_eq!(job.specifications, job::Specifications::default());
    assert!(job.files.is_empty());
}

#[test]
fn j_005_unknown_keys_are_kept_by_name() {
    let job = load("unknown-keys", &["info job-unknown-key 2:39 +1"]);
    let keys: Vec<_> = job.other_keys.iter().map(|k| (k.value.as_str(), k.place.line)).collect();
    assert_eq!(keys, [("GeneralSpecs.Mascot", 2), ("the job file.Weather", 3)]);
    assert_eq!(job.specifications.layers.map(|l| l.value), Some(2));
}

#[test]
fn j_006_paths_that_leave_the_set_are_refused() {
    let job = load("paths-outside", &["error job-path-outside 3:15 +4"]);
    let files: Vec<_> = job.files.iter().map(|f| f.path.as_str()).collect();
    assert_eq!(files, ["top.gbr"]);
    let refused: Vec<_> = job.refused.iter().map(|r| (r.value.as_str(), r.place.line)).collect();
    let wanted = [
        ("../copper.gbr", 3),
        ("/etc/copper.gbr", 4),
        ("C:\\boards\\copper.gbr", 5),
        ("https://example.org/copper.gbr", 6),
        ("a/../../copper.gbr", 7),
    ];
    assert_eq!(refused, wanted);
}

#[test]
fn j_007_j_008_what_stands_before_an_error_is_kept() {
    let cut = load("cut-short", &["error job-cut-short 2:52 +0"]);
    assert_eq!(cut.specifications.layers.map(|l| l.value), Some(4));
    assert_eq!(cut.specifications.finish, None, "half a word is no finish");
    let wrong = load("syntax", &["error job-syntax 3:5 +0"]);
    assert_eq!(wrong.specifications.layers.map(|l| l.value), Some(4));
}

#[test]
fn j_009_what_is_not_strict_is_read_as_meant() {
    let job = load("not-strict", &["warning job-not-strict 2:34 +2"]);
    assert_eq!(job.specifications.finish.map(|f| f.value).as_deref(), Some("EN\nIG"));
    assert_eq!(job.specifications.layers.map(|l| (l.value, l.place.line)), Some((2, 3)));
}

#[test]
fn j_010_numbers_are_exact() {
    let remarks = ["warning job-number-as-text 2:95 +0", "error job-out-of-range 7:38 +1"];
    let job = load("numbers", &remarks);
    let board = &job.specifications;
    assert_eq!(board.thickness.map(|t| t.value), Some(1_600_000));
    assert_eq!(board.layers.map(|l| l.value), Some(4));
    assert_eq!(board.size.map(|s| (s.value.x, s.value.y)), Some((50_800_000, 22_860_000)));
    let stack: Vec<_> = job.stack.iter().map(|l| l.thickness.map(|t| t.value)).collect();
    assert_eq!(stack, [Some(35_000), Some(1), Some(0), None, None]);
}

#[test]
fn j_011_the_first_of_two_keys_counts() {
    let job = load("keys-twice", &["warning job-key-twice 2:39 +0"]);
    assert_eq!(job.specifications.layers.map(|l| l.value), Some(2));
}

#[test]
fn j_012_words_fold_into_those_of_the_attribute() {
    let job = load("vocabulary", &["warning job-value-unknown 7:44 +1"]);
    let fields: Vec<String> = job.files.iter().map(|f| f.fields.join(",")).collect();
    assert_eq!(fields, ["Soldermask,Bot", "Paste,Top", "Profile", "AssemblyDrawing,Top", "Heron,Top"]);
    assert_eq!(job.files[0].function.value, "SolderMask,Bottom", "kept as written");
    let list = |text: &str| text.split(',').map(str::to_owned).collect::<Vec<_>>();
    for (own, listed, agrees) in [
        ("Profile,NP", "Profile", true),
        ("Soldermask,Top", "SolderMask,Top", true),
        ("Paste,Bot", "SolderPaste,Bot", true),
        ("Copper,L2,Inr,Plane", "Copper,L2,Inr", true),
        ("Copper,L2,Bot", "Copper,L1,Bot", false),
        ("Soldermask,Top", "SolderMask,Bot", false),
        ("Legend,Top", "SolderPaste,Top", false),
    ] {
        assert_eq!(function::agree(&list(own), &list(listed)), agrees, "{own} and {listed}");
    }
}

#[test]
fn j_013_escapes_stand_for_their_characters() {
    let job = load("escapes", &["warning job-not-strict 1:109 +0"]);
    let project = job.specifications.project;
    assert_eq!(project.name.map(|n| n.value).as_deref(), Some("tarn \u{2013} \u{1F30A}"));
    assert_eq!(project.revision.map(|n| n.value).as_deref(), Some("a/b\t\"c\""));
    assert_eq!(project.guid.map(|n| n.value).as_deref(), Some("x\u{FFFD}y"));
}

#[test]
fn j_014_entries_that_cannot_be_used_are_told() {
    let remarks = [
        "info job-finish-none 2:31 +0",
        "error job-out-of-range 2:54 +1",
        "warning job-entry-incomplete 4:5 +0",
        "warning job-path-twice 6:15 +0",
        "warning job-data-after-end 8:3 +0",
    ];
    let job = load("entries", &remarks);
    assert_eq!(job.files.len(), 1);
    assert_eq!(job.files[0].fields, ["Copper", "L1", "Top"]);
    assert_eq!(job.specifications.layers, None);
}

#[test]
fn depth_and_size_end_at_their_limits() {
    let limit = |bytes: &[u8], limits: &Limits| job::read(bytes, limits).map(|_| ()).unwrap_err().limit;
    let deep = [b"{\"a\":".as_slice(), &b"[".repeat(100_000)].concat();
    assert_eq!(limit(&deep, &Limits::default()), "nesting");
    assert_eq!(
        limit(&deep, &Limits { nesting: u64::MAX, ..Limits::default() }),
        "nesting",
        "the stack is not ours to give"
    );
    let many = [b"{\"a\":[".as_slice(), &b"1,".repeat(300_000)].concat();
    assert_eq!(limit(&many, &Limits::default()), "objects");
    assert_eq!(limit(b"{}", &Limits { bytes: 1, ..Limits::default() }), "bytes");
    // Each of many files is compared with those before it in no time worth naming.
    let entry = |n| format!("{{\"Path\":\"f{n}\",\"FileFunction\":\"Legend,Top\"}},");
    let list: String = (0..60_000).map(entry).collect();
    assert_eq!(read(format!("{{\"FilesAttributes\":[{list}]}}").as_bytes()).files.len(), 60_000);
    let keys: String = (0..5_000).map(|n| format!("\"k{n}\":0,")).collect();
    let job = read(format!("{{{keys}\"z\":0}}").as_bytes());
    assert_eq!(job.other_keys.len() as u64, Limits::default().remarks);
    assert_eq!(job.remarks[0].more, 5_000, "the rest are counted");
}

/// Cut or altered anywhere the reader answers, says that something is wrong when the end is gone, and says the same twice.
#[test]
fn cut_or_altered_anywhere_the_reader_still_answers() {
    let whole = bytes("complete");
    let end = whole.iter().rposition(|b| *b == b'}').expect("a brace");
    for cut in 1..=end {
        let job = read(&whole[..cut]);
        assert!(job.remarks.iter().any(|r| r.code.severity == Severity::Error), "cut at {cut}: no error");
    }
    for at in 0..whole.len() {
        for byte in [b'"', b'\\', b'}', b'[', b'0', 0xFF, 0] {
            let mut altered = whole.clone();
            altered[at] = byte;
            assert_eq!(format!("{:?}", read(&altered)), format!("{:?}", read(&altered)), "{at}");
        }
    }
}

/// No code of a reader is given twice, and each says what to do.
#[test]
fn codes_are_unique_and_say_what_to_do() {
    use landgap_parser::{artwork, drill};
    let own = [job::codes::ALL, landgap_rules::place::contradict::codes::ALL].concat();
    let others = [artwork::codes::ALL, drill::codes::ALL, landgap_parser::netlist::codes::ALL].concat();
    for (i, code) in own.iter().enumerate() {
        assert!(!code.action.is_empty() && !code.clause.is_empty(), "{}", code.id);
        let earlier = own[..i].iter().chain(&others).find(|c| c.id == code.id);
        assert_eq!(earlier.map(|c| c.id), None);
    }
}
