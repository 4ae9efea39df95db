//! Words that are no longer part of the format, and habits seen in use: chapter 8; clauses stand in the files.

use super::harness::*;

const DISC: f64 = PI / 4.0;
/// A disc of 0.04 in.
const DISC_INCH: f64 = DISC * 1.016 * 1.016;
const LOW: &str = "info artwork-format-low";
const LEGACY_UNIT: &str = "warning artwork-legacy-unit";
const TRANSFORM: &str = "error artwork-image-transform";

#[test]
fn l_001_to_l_030_read_as_they_were_meant() {
    check_all(&[
        ("L-001", "8-deprecated/prefix-of-aperture", &["info artwork-select-prefix"], 1, DISC, PI),
        ("L-002", "8-deprecated/prefix-of-flash", &["info artwork-flash-prefix"], 1, DISC, PI),
        ("L-003", "8-deprecated/unit-by-g70", &[LEGACY_UNIT, LOW], 1, DISC_INCH, PI),
        ("L-004", "8-deprecated/unit-by-g71", &[LEGACY_UNIT], 1, DISC, PI),
        ("L-005", "8-deprecated/unit-contradicted", &[LEGACY_UNIT, "error artwork-unit-contradicts"], 1, DISC, PI),
        ("L-006", "8-deprecated/absolute-by-g90", &["warning artwork-legacy-notation"], 1, DISC, PI),
        ("L-007", "8-deprecated/incremental-by-g91", &["warning artwork-legacy-notation"], 2, 2.0 * DISC, 6.3),
        ("L-008", "8-deprecated/end-by-m00", &["warning artwork-legacy-stop"], 1, DISC, PI),
        ("L-009", "8-deprecated/optional-stop", &["info artwork-optional-stop"], 1, DISC, PI),
        ("L-010", "8-deprecated/image-settings-idle", &[], 1, DISC, PI),
        ("L-011", "8-deprecated/image-negative", &["error artwork-image-negative"], 1, DISC, PI),
        ("L-012", "8-deprecated/axes-swapped", &[TRANSFORM], 1, DISC, PI),
        ("L-013", "8-deprecated/image-rotated", &[TRANSFORM], 1, DISC, PI),
        ("L-014", "8-deprecated/image-mirrored", &[TRANSFORM], 1, DISC, PI),
        ("L-015", "8-deprecated/image-offset", &[TRANSFORM], 1, DISC, PI),
        ("L-016", "8-deprecated/image-scaled", &[TRANSFORM], 1, DISC, PI),
        ("L-017", "8-deprecated/names", &["info artwork-name"], 1, DISC, PI),
        ("L-018", "8-deprecated/four-decimals", &[LOW], 1, DISC_INCH, PI),
        ("L-019", "8-deprecated/three-decimals-inch", &["warning artwork-format-coarse"], 1, DISC_INCH, PI),
        ("L-020", "8-deprecated/two-decimals-mm", &["warning artwork-format-coarse"], 1, DISC, PI),
        ("L-021", "8-deprecated/combined-word", &["info artwork-combined-word"], 1, 10.0 + DISC, PI),
        ("L-022", "8-deprecated/draw-continued", &["warning artwork-modal-draw"], 2, 20.731748, 4.0),
        ("L-023", "8-deprecated/no-operation-code-after-move", &["error artwork-operation-missing"], 1, DISC, PI),
        ("L-024", "8-deprecated/code-styles", &["warning artwork-code-style"], 2, 20.0 + DISC, PI),
        ("L-025", "8-deprecated/repeat-idle", &[], 1, DISC, PI),
        ("L-026", "8-deprecated/repeat-closed-by-one", &[], 3, 3.0 * DISC, 9.5),
        ("L-027", "8-deprecated/repeat-never-closed", &["warning artwork-repeat-unclosed"], 2, 2.0 * DISC, 6.3),
        ("L-028", "8-deprecated/stray-pseudo-command", &["warning artwork-unknown-command"], 1, DISC, PI),
        (
            "L-029",
            "8-deprecated/without-apertures",
            &["error artwork-aperture-undefined", "fatal artwork-rs274d"],
            0,
            0.0,
            0.0,
        ),
        ("L-030", "8-deprecated/several-images", &["fatal artwork-several-images"], 0, 0.0, 0.0),
    ]);
}

#[test]
fn l_031_to_l_036_seen_in_use() {
    check_all(&[
        ("L-031", "3-syntax/several-commands-in-one", &[], 1, DISC, PI),
        ("L-032", "3-syntax/empty-word", &["info artwork-empty-word"], 1, DISC, PI),
        ("L-033", "8-deprecated/rectangular-hole", &["warning artwork-rectangular-hole"], 1, 7.0, 0.0),
        ("L-034", "8-deprecated/vector-line-code-2", &["info artwork-macro-deprecated"], 1, 10.8, 0.0),
        ("L-035", "3-syntax/aperture-number-with-zero", &[], 1, DISC, PI),
        ("L-036", "3-syntax/lines-broken-anywhere", &[], 1, DISC, PI),
    ]);
}

// Settings of the whole image are told but not applied; units and increments are.
#[test]
fn positions_under_deprecated_words() {
    type Kept = (&'static str, &'static str, &'static [(f64, f64)]);
    let rows: [Kept; 18] = [
        ("L-003", "8-deprecated/unit-by-g70", &[(25.4, 0.0)]),
        ("L-004", "8-deprecated/unit-by-g71", &[(1.0, 0.0)]),
        ("L-005", "8-deprecated/unit-contradicted", &[(1.0, 0.0)]),
        ("L-006", "8-deprecated/absolute-by-g90", &[(1.0, 0.0)]),
        ("L-007", "8-deprecated/incremental-by-g91", &[(1.0, 0.0), (3.0, 0.0)]),
        ("L-012", "8-deprecated/axes-swapped", &[(1.0, 0.0)]),
        ("L-013", "8-deprecated/image-rotated", &[(1.0, 0.0)]),
        ("L-014", "8-deprecated/image-mirrored", &[(1.0, 0.0)]),
        ("L-015", "8-deprecated/image-offset", &[(1.0, 0.0)]),
        ("L-016", "8-deprecated/image-scaled", &[(1.0, 0.0)]),
        ("L-018", "8-deprecated/four-decimals", &[(25.4, 0.0)]),
        ("L-019", "8-deprecated/three-decimals-inch", &[(25.4, 0.0)]),
        ("L-020", "8-deprecated/two-decimals-mm", &[(1.0, 0.0)]),
        ("L-023", "8-deprecated/no-operation-code-after-move", &[(10.0, 10.0)]),
        ("L-026", "8-deprecated/repeat-closed-by-one", &[(0.0, 0.0), (5.0, 0.0), (20.0, 0.0)]),
        ("L-027", "8-deprecated/repeat-never-closed", &[(0.0, 0.0), (5.0, 0.0)]),
        ("L-031", "3-syntax/several-commands-in-one", &[(1.0, 0.0)]),
        ("L-036", "3-syntax/lines-broken-anywhere", &[(1.0, 0.0)]),
    ];
    for (id, name, wanted) in rows {
        assert_eq!(flashes(id, &load(id, name).image), points(wanted), "{id}");
    }
}
