//! Arithmetic in macros: chapter 4.5.4 and the grammar of 3.5.

use super::harness::*;

const UPPER_X: &str = "warning artwork-macro-upper-x";
const SIGN: &str = "warning artwork-macro-sign";

/// Id, file, remarks, value in nanometres. Results derived from the grammar with $1 = 4 and $2 = 3;
/// the value is where the macro's disc stands.
type Value = (&'static str, &'static str, &'static [&'static str], i64);
const VALUES: [Value; 15] = [
    ("G-020", "multiplication-first", &[], 10_000_000),
    ("G-021", "brackets-first", &[], 14_000_000),
    ("G-022", "subtraction-left-associative", &[], 0),
    ("G-023", "division-left-associative", &[], 1_000_000),
    ("G-024", "division-then-multiplication", &[], 4_000_000),
    ("G-025", "leading-sign-of-sum", &[], -1_000_000),
    ("G-026", "leading-sign-of-product", &[], -12_000_000),
    ("G-027", "leading-sign-of-difference", &[], -7_000_000),
    ("G-028", "division-before-subtraction", &[], 0),
    ("G-029", "division-not-truncated", &[], 333_333),
    ("G-030", "undefined-variable", &[], 0),
    ("G-031", "upper-case-x", &[UPPER_X], 8_000_000),
    // The grammar calls this an error; the reader takes the one meaning it can have and warns.
    ("G-032", "sign-behind-operator", &[SIGN], -8_000_000),
    // 4.5.4.3: the reader goes on with the later value.
    ("G-033", "parameter-redefined", &["error artwork-macro-variable-redefined"], 5_000_000),
    ("G-034", "parameter-unset", &[], 100_000_000),
];

#[test]
fn g_020_to_g_034_values() {
    for (id, name, remarks, x) in VALUES {
        let art = load(id, &format!("4.5-macros/{name}"));
        expect_said(id, &art, remarks);
        let parts = parts(id, &art.image);
        assert_eq!((parts.len(), parts[0].adds), (1, true), "{id}");
        assert_eq!(disc(id, &parts[0].contours[0]), (landgap_parser::Point::new(x, 7_000_000), 1_000_000), "{id}");
    }
}

// 4.5.5.3, the standard's own example: 0.75 times 0.020 in is 0.015 in.
#[test]
fn g_035_diameter_from_expression() {
    let art = load("G-035", "4.5-macros/ring-from-computed-diameter");
    expect_said("G-035", &art, &[]);
    let parts = parts("G-035", &art.image);
    let discs: Vec<_> = parts.iter().map(|p| (p.adds, disc("G-035", &p.contours[0]))).collect();
    assert_eq!(discs, [(true, (at(0.0, 0.0), 508_000)), (false, (at(0.0, 0.0), 381_000))], "G-035");
    expect_area("G-035", area(&art.image), PI / 4.0 * (0.508 * 0.508 - 0.381 * 0.381), PI * 0.889);
}

// 4.5.4.2; derived: no number, and no infinity either.
#[test]
fn g_036_division_by_zero() {
    let art = load("G-036", "4.5-macros/division-by-zero");
    expect_said("G-036", &art, &["error artwork-macro-division"]);
    let parts = parts("G-036", &art.image);
    assert_eq!(parts.len(), 1, "G-036");
    assert_eq!(disc("G-036", &parts[0].contours[0]), (at(0.0, 7.0), 1_000_000), "G-036");
}
