//! What the data states against what the set holds: each contradiction is a remark on its file, and
//! nothing else changes. Clauses are those of the Gerber layer format 2021.02; what a job file may
//! be compared with is common practice, no source.

use landgap_parser::Limits;
use landgap_rules::board::Board;
use landgap_rules::check::{InputFile, Told};
use landgap_rules::place::{contradict, place};

type Files = Vec<(&'static str, String)>;

const HEAD: &str = "%FSLAX46Y46*%\n%MOMM*%\n%TF.SameCoordinates,tarn*%\n%TF.ProjectId,tide gauge,74696465-2d67-4175-b765-2d6c616b6573,B*%\n\
                    %TF.CreationDate,2026-03-02T09:30:00+01:00*%\n";

fn artwork(function: &str, polarity: &str, body: &str) -> String {
    format!("{HEAD}%TF.FileFunction,{function}*%\n%TF.FilePolarity,{polarity}*%\n{body}M02*\n")
}

/// Four vias in a row with a track along them.
fn copper(function: &str) -> String {
    let body = "%TA.AperFunction,ViaPad*%\n%ADD10C,0.800*%\n%TD*%\n%ADD11C,0.200*%\nG01*\nD10*\nX3000000Y5000000D03*\n\
                X6000000Y5000000D03*\nX9000000Y5000000D03*\nX12000000Y5000000D03*\nD11*\nX3000000Y5000000D02*\n\
                X6000000Y5000000D01*\nX9000000Y5000000D01*\nX12000000Y5000000D01*\n";
    artwork(function, "Positive", body)
}

fn mask(side: &str) -> String {
    let body = "%ADD10C,1.000*%\nD10*\nX3000000Y5000000D03*\nX6000000Y5000000D03*\nX9000000Y5000000D03*\nX12000000Y5000000D03*\n";
    artwork(&format!("Soldermask,{side}"), "Negative", body)
}

fn edge() -> String {
    let body =
        "%ADD10C,0.100*%\nG01*\nD10*\nX0Y0D02*\nX20000000Y0D01*\nX20000000Y10000000D01*\nX0Y10000000D01*\nX0Y0D01*\n";
    artwork("Profile,NP", "Positive", body)
}

const DRILL: &str = "M48\n; #@! TF.FileFunction,Plated,1,2,PTH\nMETRIC,TZ\nT1C0.400\n%\nG05\nT1\nX3.0Y5.0\nX6.0Y5.0\nX9.0Y5.0\nX12.0Y5.0\nM30\n";

const JOB: &str = r#"{
"Header": { "CreationDate": "2026-03-02T09:30:20+01:00" },
"GeneralSpecs": { "ProjectId": { "Name": "tide gauge", "GUID": "74696465-2d67-4175-b765-2d6c616b6573", "Revision": "B" },
  "Size": { "X": 20.1, "Y": 10.1 }, "LayerNumber": 2, "BoardThickness": 1.6, "EdgePlating": false },
"FilesAttributes": [
  { "Path": "gauge-top.gbr", "FileFunction": "Copper,L1,Top", "FilePolarity": "Positive" },
  { "Path": "gauge-bottom.gbr", "FileFunction": "Copper,L2,Bot", "FilePolarity": "Positive" },
  { "Path": "gauge-mask-top.gbr", "FileFunction": "SolderMask,Top", "FilePolarity": "Negative" },
  { "Path": "gauge-mask-bottom.gbr", "FileFunction": "SolderMask,Bot", "FilePolarity": "Negative" },
  { "Path": "gauge-edge.gbr", "FileFunction": "Profile", "FilePolarity": "Positive" },
  { "Path": "gauge-PTH.drl", "FileFunction": "Plated,1,2,PTH", "FilePolarity": "Positive" } ],
"MaterialStackup": [ { "Type": "SolderMask", "Thickness": 0.02 }, { "Type": "Copper", "Thickness": 0.035 },
  { "Type": "Dielectric", "Thickness": 1.51 }, { "Type": "Copper", "Thickness": 0.035 }, { "Type": "SolderMask", "Thickness": 0.02 } ]
}
"#;

fn gauge() -> Files {
    vec![
        ("gauge-PTH.drl", DRILL.to_owned()),
        ("gauge-bottom.gbr", copper("Copper,L2,Bot")),
        ("gauge-edge.gbr", edge()),
        ("gauge-job.gbrjob", JOB.to_owned()),
        ("gauge-mask-bottom.gbr", mask("Bot")),
        ("gauge-mask-top.gbr", mask("Top")),
        ("gauge-top.gbr", copper("Copper,L1,Top")),
    ]
}

fn placed(files: &Files) -> Board {
    let input =
        |(path, text): &(&str, String)| InputFile { path: (*path).to_owned(), bytes: text.clone().into_bytes() };
    place(&files.iter().map(input).collect::<Vec<_>>(), &Told::new(), &Limits::default(), &|_| {})
}

/// Contradictions as "file code".
fn said(board: &Board) -> Vec<String> {
    let mut said = Vec::new();
    for file in &board.files {
        let own = file.remarks.iter().filter(|r| contradict::codes::ALL.iter().any(|c| std::ptr::eq(*c, r.code)));
        said.extend(own.map(|r| format!("{} {}", file.path, r.code.id)));
    }
    said
}

/// The set with one text replaced in one file; the text must be there.
fn altered(file: &str, from: &str, to: &str) -> Files {
    let mut files = gauge();
    let text = &mut files.iter_mut().find(|(path, _)| *path == file).expect("a file of the set").1;
    assert!(text.contains(from), "{file} does not hold {from}");
    *text = text.replace(from, to);
    files
}

/// File, what is replaced by what, and the contradictions that must be told.
type Row = (&'static str, &'static str, &'static str, &'static [&'static str]);

#[test]
fn a_set_that_agrees_with_itself_has_no_contradiction() {
    let board = placed(&gauge());
    assert_eq!(said(&board), [""; 0]);
    assert_eq!((board.copper.len(), board.holes.len()), (2, 4));
    assert!(board.doubts.is_empty(), "{:?}", board.doubts);
}

const ROWS: [Row; 31] = [
    // 5.6.5, 5.6.6, 5.6.8: what all files of a set share.
    ("gauge-top.gbr", "SameCoordinates,tarn", "SameCoordinates,beck", &["gauge-top.gbr set-coordinates-differ"]),
    (
        "gauge-top.gbr",
        "tide gauge,",
        "wave gauge,",
        &["gauge-job.gbrjob set-job-project", "gauge-top.gbr set-project-differs"],
    ),
    ("gauge-edge.gbr", "T09:30:00+01:00", "T10:29:00+01:00", &[]),
    ("gauge-edge.gbr", "T09:30:00+01:00", "T08:30:00Z", &[]),
    (
        "gauge-edge.gbr",
        "2026-03-02",
        "2026-03-01",
        &["gauge-edge.gbr set-date-differs", "gauge-job.gbrjob set-job-date"],
    ),
    ("gauge-edge.gbr", "2026-03-02T09:30:00+01:00", "2026-03-02T18:00:00", &[]),
    // 5.6.3: numbers, sides and spans.
    (
        "gauge-bottom.gbr",
        "L2,Bot",
        "L1,Bot",
        &[
            "gauge-PTH.drl set-span",
            "gauge-bottom.gbr set-job-function",
            "gauge-bottom.gbr set-layer-fields",
            "gauge-job.gbrjob set-job-layers",
        ],
    ),
    (
        "gauge-bottom.gbr",
        "L2,Bot",
        "L4,Bot",
        &["gauge-bottom.gbr set-job-function", "gauge-bottom.gbr set-layer-total"],
    ),
    ("gauge-PTH.drl", "Plated,1,2", "Plated,1,4", &["gauge-PTH.drl set-job-function", "gauge-PTH.drl set-span"]),
    (
        "gauge-PTH.drl",
        "Plated,1,2,PTH",
        "NonPlated,1,2,NPTH",
        &["gauge-PTH.drl set-job-function", "gauge-PTH.drl set-name-plating"],
    ),
    (
        "gauge-PTH.drl",
        "T1C0.400",
        "; #@! TA.AperFunction,NonPlated,NPTH,ComponentDrill\nT1C0.400",
        &["gauge-PTH.drl set-tool-plating"],
    ),
    // 5.6.4: polarities.
    (
        "gauge-top.gbr",
        "FilePolarity,Positive",
        "FilePolarity,Negative",
        &["gauge-top.gbr set-job-polarity", "gauge-top.gbr set-negative-copper"],
    ),
    (
        "gauge-mask-top.gbr",
        "FilePolarity,Negative",
        "FilePolarity,Positive",
        &["gauge-mask-top.gbr set-job-polarity", "gauge-mask-top.gbr set-positive-mask"],
    ),
    (
        "gauge-PTH.drl",
        "METRIC",
        "; #@! TF.FilePolarity,Negative\nMETRIC",
        &["gauge-PTH.drl set-job-polarity", "gauge-PTH.drl set-negative-holes"],
    ),
    // 5.6.10: a land of a via has a hole.
    (
        "gauge-PTH.drl",
        "X6.0Y5.0\n",
        "",
        &["gauge-bottom.gbr set-land-without-hole", "gauge-top.gbr set-land-without-hole"],
    ),
    ("gauge-PTH.drl", "X6.0Y5.0\n", "X6.02Y5.0\n", &[]),
    // The job file.
    ("gauge-job.gbrjob", "\"X\": 20.1", "\"X\": 20.0", &[]),
    ("gauge-job.gbrjob", "\"X\": 20.1", "\"X\": 20.11", &[]),
    ("gauge-job.gbrjob", "\"X\": 20.1", "\"X\": 20.12", &["gauge-job.gbrjob set-job-size"]),
    ("gauge-job.gbrjob", "\"LayerNumber\": 2", "\"LayerNumber\": 4", &["gauge-job.gbrjob set-job-layers"]),
    ("gauge-job.gbrjob", "\"BoardThickness\": 1.6", "\"BoardThickness\": 1.57", &[]),
    ("gauge-job.gbrjob", "\"BoardThickness\": 1.6", "\"BoardThickness\": 1.2", &["gauge-job.gbrjob set-job-thickness"]),
    (
        "gauge-job.gbrjob",
        "\"BoardThickness\": 1.6",
        "\"BoardThickness\": 1.65",
        &["gauge-job.gbrjob set-job-thickness"],
    ),
    ("gauge-job.gbrjob", "\"EdgePlating\": false", "\"EdgePlating\": true", &["gauge-job.gbrjob set-job-edge-plating"]),
    ("gauge-job.gbrjob", "SolderMask,Top", "SolderMask,Bot", &["gauge-mask-top.gbr set-job-function"]),
    (
        "gauge-job.gbrjob",
        "\"Profile\", \"FilePolarity\": \"Positive\"",
        "\"Profile\", \"FilePolarity\": \"Negative\"",
        &["gauge-edge.gbr set-job-polarity"],
    ),
    (
        "gauge-job.gbrjob",
        "gauge-edge.gbr",
        "gauge-rim.gbr",
        &["gauge-edge.gbr set-job-file-unlisted", "gauge-job.gbrjob set-job-file-missing"],
    ),
    ("gauge-job.gbrjob", "\"Revision\": \"B\"", "\"Revision\": \"C\"", &["gauge-job.gbrjob set-job-project"]),
    ("gauge-job.gbrjob", "2026-03-02T09", "2026-03-02T11", &["gauge-job.gbrjob set-job-date"]),
    ("gauge-job.gbrjob", "2026-03-02T09:30:20+01:00", "some day", &[]),
    ("gauge-job.gbrjob", "gauge-top.gbr\"", "prints/GAUGE-TOP.GBR\"", &[]),
];

#[test]
fn each_contradiction_is_a_remark_on_its_file() {
    let mut wrong = Vec::new();
    for (file, from, to, wanted) in ROWS {
        let mut wanted = wanted.to_vec();
        wanted.sort_unstable();
        let mut found = said(&placed(&altered(file, from, to)));
        found.sort_unstable();
        if found != wanted {
            wrong.push(format!("{file}: {from} -> {to}: {found:?}, expected {wanted:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_code_is_shown_by_a_test() {
    let elsewhere = ["set-checksum", "set-job-several"];
    let shown = ROWS.iter().flat_map(|r| r.3).filter_map(|said| said.split(' ').nth(1)).chain(elsewhere);
    let shown: Vec<&str> = shown.collect();
    let unshown: Vec<_> = contradict::codes::ALL.iter().map(|c| c.id).filter(|id| !shown.contains(id)).collect();
    assert_eq!(unshown, [""; 0]);
}

#[test]
fn a_second_job_file_is_told() {
    let mut files = gauge();
    files.push(("gauge-old.gbrjob", JOB.to_owned()));
    files.push(("gauge-older.gbrjob", "Job: tide gauge\n".to_owned()));
    let board = placed(&files);
    assert_eq!(said(&board), ["gauge-old.gbrjob set-job-several", "gauge-older.gbrjob set-job-several"]);
    let older = board.files.iter().find(|f| f.path == "gauge-older.gbrjob").expect("the file");
    assert!(older.remarks.iter().any(|r| r.code.id == "job-old-text"), "{:?}", older.remarks);
}

/// 5.6.9, with the sums of RFC 1321, A.5.
#[test]
fn a_checksum_is_checked_over_the_bytes_before_it() {
    let sums = [
        ("", "d41d8cd98f00b204e9800998ecf8427e"),
        ("a", "0cc175b9c0f1b6a831c399e269772661"),
        ("abc", "900150983cd24fb0d6963f7d28e17f72"),
        ("message digest", "f96b697d7cb7938d525a2f31aaf161d0"),
        ("abcdefghijklmnopqrstuvwxyz", "c3fcd3d76192e4007dfb496cca67e13b"),
        ("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789", "d174ab98d277d9f5a5611c2c9f419d9f"),
        (
            "12345678901234567890123456789012345678901234567890123456789012345678901234567890",
            "57edf4a22be3c955ac49da2e2107b67a",
        ),
    ];
    let check = |text: String| said(&placed(&vec![("sum.gbr", text)]));
    for (bytes, sum) in sums {
        assert_eq!(check(format!("{bytes}%TF.MD5,{sum}*%\nM02*\n")), [""; 0], "{bytes}");
        assert_eq!(
            check(format!("{bytes}\r\n%TF.MD5,{}*%\r\nM02*\r\n", sum.to_uppercase())),
            [""; 0],
            "line ends count for nothing"
        );
        assert_eq!(check(format!("x{bytes}%TF.MD5,{sum}*%\nM02*\n")), ["sum.gbr set-checksum"], "{bytes}");
    }
    let comment = "%MOMM*%\nG04 #@! TF.MD5,d41d8cd98f00b204e9800998ecf8427e*\nM02*\n";
    assert_eq!(check(comment.to_owned()), ["sum.gbr set-checksum"]);
    let right = comment.replace("d41d8cd98f00b204e9800998ecf8427e", "a87c6b7fc30d36e80436cfa874c4fd53");
    assert_eq!(check(right), [""; 0], "the sum of the first line");
}

/// Our own demo boards agree with themselves, planted faults included: those are faults, not contradictions.
#[test]
fn the_demo_boards_have_no_contradiction() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../corpus/tarn-row");
    let mut boards = 0;
    for entry in std::fs::read_dir(demo).expect("the demo boards").map(|e| e.expect("an entry").path()) {
        if !entry.is_dir() {
            continue;
        }
        let files = std::fs::read_dir(&entry).expect("a board").map(|e| e.expect("an entry").path());
        let input = |path: std::path::PathBuf| InputFile {
            path: path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default(),
            bytes: std::fs::read(&path).expect("a readable file"),
        };
        let files: Vec<InputFile> = files.filter(|p| p.is_file()).map(input).collect();
        let board = place(&files, &Told::new(), &Limits::default(), &|_| {});
        assert_eq!(said(&board), [""; 0], "{}", entry.display());
        boards += 1;
    }
    assert!(boards >= 2, "{boards} demo boards");
}
