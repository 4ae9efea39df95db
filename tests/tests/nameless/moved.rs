//! One layer of a sound set mirrored, moved or left out: told in every case that the data decide.
//!
//! What is not decidable is listed with its reason, kind by kind or file by file; a new silence fails.

use std::collections::BTreeMap;

use landgap_rules::board::{Board, PlacedFile, Role, Side};
use landgap_rules::check::InputFile;

use crate::change::{Change, artwork, mirrored_drill};
use crate::common::{placed, read_set, shared};

/// What it was done to, and how many cases were told, of how many.
type Table = BTreeMap<&'static str, (usize, usize)>;

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

/// What is done to one file.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Case {
    LeftOut,
    Mirrored,
    Moved,
}

impl Case {
    fn word(self) -> &'static str {
        match self {
            Self::LeftOut => "left out",
            Self::Mirrored => "mirrored",
            Self::Moved => "moved",
        }
    }

    /// The set with the case done; `None` where this helper cannot write the file.
    fn done(self, files: &[InputFile], file: &PlacedFile, is_artwork: bool) -> Option<Vec<InputFile>> {
        let bytes = &files.iter().find(|f| f.path == file.path).expect("its file").bytes;
        let changed = match (self, is_artwork) {
            (Self::LeftOut, _) => return Some(with(files, &file.path, None)),
            (Self::Mirrored, true) => artwork(bytes, Change::Mirror),
            (Self::Mirrored, false) => mirrored_drill(bytes),
            (Self::Moved, true) => artwork(bytes, Change::Shift(500_000, 300_000)),
            (Self::Moved, false) => None,
        };
        changed.map(|bytes| with(files, &file.path, Some(bytes)))
    }
}

/// Why a whole kind may stay untold: what a careful engineer would not see either.
fn undecidable(case: Case, kind: &str, set: &str) -> Option<&'static str> {
    Some(match (case, kind, set) {
        (_, "outer copper", "board-006") => "a set of one file has nothing to contradict it",
        (Case::LeftOut, "paste", _) => "paste is no part of the bare board, and only a job file says that it existed",
        (Case::LeftOut, "legend", _) => "boards without legend are ordinary; only a job file says that it existed",
        _ => return None,
    })
}

/// Legends that may be half a millimetre elsewhere: their print lies in no opening at either place, or in
/// as many, and no mask cut it.
const LEGENDS: [&str; 29] = [
    "board-069 legend Gerber_BottomSilkscreenLayer.GBO",
    "board-020 legend amiga-gfxcard-F_SilkS.gbr",
    "board-026 legend sdram_xsds.GBO",
    "board-026 legend sdram_xsds.GTO",
    "board-029 legend v3-gps.bottomsilkscreen.ger",
    "board-031 legend sst001026.pho",
    "board-032 legend main-B_Silkscreen.gbr",
    "board-036 legend C_ESR_METER_107_R19 - CADCAM Bottom Silk Screen.GBR",
    "board-036 legend C_ESR_METER_107_R19 - CADCAM Top Silk Screen.GBR",
    "board-044 legend sdram.GBO",
    "board-044 legend sdram.GTO",
    "board-049 legend Interposer_Board_IOCrest-Bottom Overlay.gbr",
    "board-049 legend Interposer_Board_IOCrest-Top Overlay.gbr",
    "board-051 legend TS_Back_Endcap-B_Silkscreen.gbr",
    "board-051 legend TS_Back_Endcap-F_Silkscreen.gbr",
    "board-053 legend HDMI2USB-B_SilkS.gbo",
    "board-053 legend HDMI2USB-F_SilkS.gto",
    "board-058 legend sdram_xsds.GBO",
    "board-058 legend sdram_xsds.GTO",
    "board-059 legend USBHub.GTO",
    "board-060 legend OBCI_V3_D - Bottom Silkscreen.gbr",
    "board-060 legend OBCI_V3_D - Top Silkscreen.gbr",
    "board-062 legend OBCI_V4_C - Bottom Silkscreen.gbr",
    "board-062 legend OBCI_V4_C - Top Silkscreen.gbr",
    "board-066 legend OBCI_V3-1_B - Bottom Silkscreen.gbr",
    "board-067 legend controlboard.bottomsilk.gbr",
    "board-067 legend controlboard.topsilk.gbr",
    "board-080 legend EEZ PSU r5B13a panel.GBO",
    "board-087 legend main-B_Silkscreen.gbr",
];

/// Outlines that may be half a millimetre elsewhere: the copper does not follow them evenly on all four
/// sides, and no drawing repeats them.
const OUTLINES: [&str; 17] = [
    "board-009 outline bitaxeUltra-Edge_Cuts.gm1",
    "board-020 outline amiga-gfxcard-Edge_Cuts.gbr",
    "board-029 outline v3-gps.boardoutline.ger",
    "board-032 outline main-Edge_Cuts.gbr",
    "board-033 outline RAMBoSCadapter.OLN",
    "board-044 outline sdram.GKO",
    "board-050 outline Brushless_Controller_OUTLINES.gbr",
    "board-053 outline HDMI2USB-Edge_Cuts.gbr",
    "board-058 outline sdram_xsds.GKO",
    "board-060 outline OBCI_V3_D - Board Outline.gbr",
    "board-062 outline OBCI_V4_C - Board Outline.gbr",
    "board-066 outline OBCI_V3-1_B - Board Outline.gbr",
    "board-067 outline controlboard.outline.gbr",
    "board-069 outline Gerber_BoardOutlineLayer.GKO",
    "board-077 outline bitaxeUltra-Edge_Cuts.gbr",
    "board-080 outline EEZ PSU r5B13a panel.GKO",
    "board-087 outline main-Edge_Cuts.gbr",
];

/// Pastes with so few openings that several places fit alike.
const PASTES: [&str; 2] = ["board-067 paste controlboard.bottompaste.gbr", "board-067 paste controlboard.toppaste.gbr"];

/// Every set, with the case done to every file that decides it; files for which nothing new was asked.
fn untold(case: Case) -> (Vec<String>, Table) {
    let Some(boards) = shared("boards") else { return (Vec::new(), Table::new()) };
    let mut sets: Vec<_> = std::fs::read_dir(&boards).expect("the folder can be read").flatten().collect();
    sets.sort_by_key(std::fs::DirEntry::file_name);
    let mut table = Table::new();
    let mut untold = Vec::new();
    for entry in sets.iter().filter(|e| e.path().is_dir()) {
        let set = entry.file_name().to_string_lossy().into_owned();
        let files = read_set(&entry.path());
        let sound = placed(&files);
        let before = questions(&sound);
        for (file, image) in sound.files.iter().zip(&sound.images) {
            let drawn = image.as_ref().is_none_or(|i| !i.objects.is_empty());
            let Some(kind) = kind(file).filter(|k| drawn && undecidable(case, k, &set).is_none()) else { continue };
            let Some(changed) = case.done(&files, file, image.is_some()) else { continue };
            let told = questions(&placed(&changed)).iter().any(|q| !before.contains(q));
            let entry = table.entry(kind).or_default();
            *entry = (entry.0 + usize::from(told), entry.1 + 1);
            if !told {
                println!("untold: {set} {kind} {}", file.path);
                untold.push(format!("{set} {kind} {}", file.path));
            }
        }
    }
    for (kind, (told, all)) in &table {
        println!("{:9} {kind:17} told {told:3} of {all:3}", case.word());
    }
    (untold, table)
}

/// Fails where fewer of a kind are told, in hundredths.
fn assert_least(case: Case, table: &Table, least: &[(&str, usize)]) {
    for (kind, wanted) in least.iter().filter(|_| !table.is_empty()) {
        let (told, all) = table.get(kind).copied().unwrap_or_default();
        assert!(
            all > 0 && told * 100 >= all * wanted,
            "{} {kind}: {told} of {all} told, {wanted} % wanted",
            case.word()
        );
    }
}

/// Holes that nothing plates leave no mark on other layers unless a mask opens for them; of plated ones,
/// a file of a few slots beside the main file.
#[test]
fn a_file_left_out_is_told() {
    let least = [("outer copper", 98), ("inner copper", 100), ("mask", 100), ("outline", 100), ("plated holes", 90)];
    assert_least(Case::LeftOut, &untold(Case::LeftOut).1, &least);
}

/// A mask of letters beside a few openings says little of its side; a legend reads only by its letters.
#[test]
fn a_mirrored_file_is_told() {
    let least = [("outer copper", 98), ("inner copper", 100), ("mask", 96), ("outline", 100), ("plated holes", 100)];
    assert_least(Case::Mirrored, &untold(Case::Mirrored).1, &least);
}

/// Legends, outlines and pastes outside the lists must be told; what is told although it is listed is well.
#[test]
fn a_moved_file_is_told() {
    let (untold, table) = untold(Case::Moved);
    assert_least(Case::Moved, &table, &[("outer copper", 98), ("inner copper", 98), ("mask", 96)]);
    let listed = |u: &String| LEGENDS.iter().chain(&OUTLINES).chain(&PASTES).any(|l| l == u);
    let named = |u: &String| [" legend ", " outline ", " paste "].iter().any(|kind| u.contains(kind));
    let new: Vec<String> = untold.into_iter().filter(|u| named(u) && !listed(u)).collect();
    assert!(new.is_empty(), "moved and not told:\n{}", new.join("\n"));
}
