//! What is wrong in a file is told with its weight, and what can be read is kept.

use super::harness::*;
use landgap_parser::artwork::What;
use landgap_parser::{ApertureShape, Severity, Shape};

const DISC: f64 = PI / 4.0;
const LINE: f64 = 10.0 + DISC;
const LOW: &str = "info artwork-format-low";

/// Files that any suite of negative files should hold; clauses stand in the files.
#[test]
fn n_001_to_n_031_told_and_kept() {
    check_all(&[
        ("N-001", "4.13-end-of-file/truncated", &["error artwork-missing-end"], 1, DISC, PI),
        (
            "N-002",
            "4.13-end-of-file/truncated-in-word",
            &["error artwork-cut-short", "error artwork-missing-end"],
            1,
            DISC,
            PI,
        ),
        ("N-003", "4.2-unit-and-format/format-after-operation", &["error artwork-format-late"], 1, DISC, PI),
        ("N-004", "4.2-unit-and-format/format-twice", &["error artwork-format-again"], 1, DISC, PI),
        ("N-005", "4.2-unit-and-format/unit-missing", &["fatal artwork-no-unit"], 0, 0.0, 0.0),
        (
            "N-006",
            "4.2-unit-and-format/zeros-unknown-full-length",
            &["error artwork-zeros-full-length", LOW],
            1,
            DISC * 1.016 * 1.016,
            PI,
        ),
        ("N-007", "4.2-unit-and-format/zeros-unknown", &["fatal artwork-zeros-unknown", LOW], 0, 0.0, 0.0),
        (
            "N-008",
            "3-syntax/letters-without-digits",
            &["error artwork-letter-without-digits", LOW],
            1,
            5.555 * 2f64.sqrt() + DISC,
            PI,
        ),
        (
            "N-009",
            "3-syntax/offset-without-digits",
            &["error artwork-letter-without-digits", LOW, "warning artwork-offsets-unused"],
            1,
            5.555 * 2f64.sqrt() + DISC,
            PI,
        ),
        (
            "N-010",
            "4.8-operations/no-operation-code-after-flash",
            &["error artwork-operation-missing"],
            2,
            2.0 * DISC,
            6.3,
        ),
        ("N-011", "4.10-regions/gap-of-one-step", &["info artwork-contour-gap"], 1, 100.0, 0.0),
        ("N-012", "4.10-regions/gap-of-a-tenth", &["error artwork-contour-open"], 1, 100.0, 0.0),
        ("N-013", "4.10-regions/bow-tie", &["error artwork-contour-crosses"], 1, 50.0, 0.0),
        ("N-014", "4.10-regions/cut-in-overlapping-in-part", &["warning artwork-contour-overlaps"], 1, 76.0, 0.0),
        ("N-015", "4.10-regions/flash-inside", &["error artwork-region-flash"], 1, 100.0, 0.0),
        (
            "N-016",
            "4.10-regions/polarity-inside",
            &["error artwork-region-command", "error artwork-region-polarity"],
            2,
            100.0 - PI,
            6.3,
        ),
        ("N-017", "4.12-step-and-repeat/inside-another", &["warning artwork-repeat-reopened"], 4, 4.0 * DISC, 12.6),
        ("N-018", "4.11-block-apertures/never-closed", &["error artwork-block-unclosed"], 1, DISC, PI),
        ("N-019", "4.4-standard-apertures/number-below-ten", &["error artwork-aperture-number"], 1, DISC, PI),
        ("N-020", "4.4-standard-apertures/number-twice", &["error artwork-aperture-twice"], 2, 5.0 * DISC, 9.5),
        ("N-021", "4.5-macros/unknown-primitive", &["error artwork-macro-primitive"], 1, DISC, PI),
        ("N-022", "4.5-macros/outline-not-closed", &["error artwork-macro-outline-open"], 1, 4.0, 0.0),
        (
            "N-023",
            "4.5-macros/outline-point-missing",
            &["error artwork-macro-outline-open", "error artwork-macro-parameters"],
            1,
            5.0,
            0.0,
        ),
        ("N-024", "4.5-macros/polygon-of-thirteen", &["error artwork-macro-value"], 1, DISC, PI),
        // An aperture that cannot be built keeps its objects, which draw nothing.
        ("N-025", "4.4-standard-apertures/polygon-of-thirteen", &["error artwork-aperture-malformed"], 2, DISC, PI),
        ("N-026", "4.5-macros/thermal-gap-too-wide", &["error artwork-macro-value"], 1, DISC, PI),
        (
            "N-027",
            "4.4-standard-apertures/hole-larger-than-aperture",
            &["error artwork-hole-outside"],
            2,
            16.0 - DISC,
            PI,
        ),
        ("N-028", "4.8-operations/draw-with-obround", &["error artwork-stroke-aperture"], 1, 11.0 + DISC, PI),
        ("N-029", "4.10-regions/end-of-file-inside", &["error artwork-region-unclosed"], 1, 100.0, 0.0),
        ("N-030", "4.13-end-of-file/data-behind", &["error artwork-data-after-end"], 1, DISC, PI),
        ("N-031", "4.8-operations/draw-with-rectangle", &["warning artwork-stroke-rectangle"], 1, 12.0, 0.0),
    ]);
}

/// Further conditions of the standard; clauses stand in the files.
#[test]
fn n_040_to_n_060_told_and_kept() {
    check_all(&[
        ("N-040", "3-syntax/unknown-extended", &["warning artwork-unknown-command"], 1, DISC, PI),
        ("N-041", "3-syntax/unknown-g-code", &["warning artwork-unknown-command"], 1, DISC, PI),
        ("N-042", "3-syntax/unknown-m-code", &["warning artwork-unknown-command"], 1, DISC, PI),
        ("N-043", "4.4-standard-apertures/never-defined", &["error artwork-aperture-undefined"], 1, DISC, PI),
        ("N-044", "4.5-macros/never-defined", &["error artwork-macro-missing"], 2, DISC, PI),
        ("N-045", "4.5-macros/too-many-parameters", &["error artwork-macro-parameters"], 1, 8.0, 0.0),
        ("N-046", "3-syntax/coordinate-with-point", &["error artwork-coordinate-point"], 1, DISC, PI),
        ("N-047", "2-graphics-state/no-format", &["fatal artwork-no-format"], 0, 0.0, 0.0),
        ("N-048", "2-graphics-state/no-point-before-draw", &["error artwork-point-undefined"], 1, LINE, PI),
        ("N-049", "2-graphics-state/no-plot-mode", &["warning artwork-plot-mode-undefined"], 1, LINE, PI),
        ("N-050", "2-graphics-state/no-aperture", &["error artwork-aperture-none"], 1, DISC, PI),
        ("N-051", "2-graphics-state/no-point-behind-block", &["error artwork-point-undefined"], 1, DISC, PI),
        ("N-054", "4.7-arcs/no-radius", &["error artwork-arc-no-radius"], 1, LINE, PI),
        (
            "N-055",
            "4.7-arcs/no-radius-one-point",
            &["info artwork-dot-drawn", "warning artwork-arc-point"],
            1,
            DISC,
            PI,
        ),
        ("N-057", "4.10-regions/empty", &["warning artwork-region-empty"], 1, DISC, PI),
        ("N-058", "4.10-regions/no-move", &["warning artwork-region-no-move"], 1, 100.0, 0.0),
        ("N-059", "4.10-regions/comment-inside", &[], 1, 100.0, 0.0),
        ("N-060", "4.4-standard-apertures/size-zero", &["error artwork-aperture-zero"], 2, DISC, PI),
    ]);
}

// What is kept stands where the file says.
#[test]
fn what_is_kept_is_in_place() {
    type Kept = (&'static str, &'static str, &'static [(f64, f64)]);
    let rows: [Kept; 8] = [
        ("N-003", "4.2-unit-and-format/format-after-operation", &[(1.0, 0.0)]),
        ("N-004", "4.2-unit-and-format/format-twice", &[(1.0, 0.0)]),
        ("N-006", "4.2-unit-and-format/zeros-unknown-full-length", &[(38.1, 0.0)]),
        ("N-010", "4.8-operations/no-operation-code-after-flash", &[(0.0, 0.0), (5.0, 0.0)]),
        ("N-017", "4.12-step-and-repeat/inside-another", &[(0.0, 0.0), (5.0, 0.0), (0.0, 10.0), (0.0, 14.0)]),
        ("N-030", "4.13-end-of-file/data-behind", &[(0.0, 0.0)]),
        ("N-046", "3-syntax/coordinate-with-point", &[(0.0, 0.0)]),
        ("N-051", "2-graphics-state/no-point-behind-block", &[(1.0, 7.0)]),
    ];
    for (id, name, wanted) in rows {
        assert_eq!(flashes(id, &load(id, name).image), points(wanted), "{id}");
    }
    // Letters without digits are passed over, the rest of their word counts.
    for (id, name) in [("N-008", "letters-without-digits"), ("N-009", "offset-without-digits")] {
        match load(id, &format!("3-syntax/{name}")).image.objects[0].shape {
            Shape::Draw { from, to, .. } => assert_eq!((from, to), (at(0.0, 0.0), at(5.555, 5.555)), "{id}"),
            ref other => panic!("{id}: {other:?}"),
        }
    }
}

// A remark points at the word that is wrong, and the error of a crossing names the point.
#[test]
fn remarks_say_where() {
    let rows = [
        ("N-013", "4.10-regions/bow-tie", 7, "(5.000000, 5.000000) mm"),
        ("N-014", "4.10-regions/cut-in-overlapping-in-part", 7, "mm"),
        ("N-012", "4.10-regions/gap-of-a-tenth", 7, "100.000 µm"),
        ("N-015", "4.10-regions/flash-inside", 13, "a flash inside a region"),
        ("N-021", "4.5-macros/unknown-primitive", 5, "primitive 99"),
        ("N-046", "3-syntax/coordinate-with-point", 7, "decimal point"),
    ];
    for (id, name, line, words) in rows {
        let art = load(id, name);
        let remark = art.remarks.iter().max_by_key(|r| r.code.severity).unwrap_or_else(|| panic!("{id}: no remark"));
        assert_eq!(remark.place.line, line, "{id}: {remark}");
        assert!(remark.to_string().contains(words), "{id}: {remark}");
    }
}

// 2.6: without unit or format there is no image, yet the commands are all there.
#[test]
fn n_005_n_047_commands_stay() {
    for (id, name) in [("N-005", "4.2-unit-and-format/unit-missing"), ("N-047", "2-graphics-state/no-format")] {
        let art = load(id, name);
        assert!(art.image.objects.is_empty() && art.image.apertures.is_empty(), "{id}");
        let operations = art.commands.iter().filter(|c| matches!(c.what, What::Operation(_))).count();
        assert_eq!(operations, 1, "{id}");
    }
}

// 4.3.2: only a circle may have no size; what cannot be built is marked so.
#[test]
fn n_025_n_060_unusable_apertures() {
    for (id, name) in [("N-025", "polygon-of-thirteen"), ("N-060", "size-zero")] {
        let art = load(id, &format!("4.4-standard-apertures/{name}"));
        assert!(matches!(art.image.apertures[1].shape, ApertureShape::Unusable), "{id}: {:?}", art.image.apertures[1]);
    }
}

// 3.1: neither zero bytes nor two bytes a character are artwork. Derived; not files of the folder,
// because such files are no text.
#[test]
fn n_063_n_064_not_text() {
    let plain = "G04 N*\n%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,1*%\nD10*\nX0Y0D03*\nM02*\n";
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(plain.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let zero: Vec<u8> = plain.replace("%MOMM", "\0%MOMM").into_bytes();
    for (id, bytes, line) in [("N-063", zero, 3), ("N-064", wide, 1)] {
        let art = read(&bytes);
        expect_said(id, &art, &["fatal artwork-not-text"]);
        assert_eq!((art.remarks[0].place.line, art.image.objects.len()), (line, 0), "{id}");
        assert_eq!(art.remarks[0].code.severity, Severity::Fatal, "{id}");
    }
}
