//! Coordinates, unit and format: chapters 4.2 and 8.2.1.

use super::harness::*;
use landgap_parser::artwork::{Coordinate, Operation, What};
use landgap_parser::{Point, Shape};

const LOW: &str = "info artwork-format-low";
const TRAILING: &str = "warning artwork-format-trailing";

/// Id, file, remarks, x of the flash in nanometres. 4.2.2 and 8.2.1.1; results derived, G-005 is the
/// standard's own example.
type Placed = (&'static str, &'static str, &'static [&'static str], i64);
const PLACED: [Placed; 9] = [
    ("G-001", "leading-omitted-26-mm", &[], 5_000),
    ("G-002", "leading-omitted-26-inch", &[], 127_000),
    ("G-003", "leading-omitted-24-inch", &[LOW], 38_100),
    ("G-004", "trailing-omitted-24-inch", &[LOW, TRAILING], 381_000_000),
    ("G-005", "trailing-omitted-23-mm", &[LOW, TRAILING], 15_000_000),
    ("G-006", "leading-omitted-34-inch-negative", &[LOW], -31_356_300),
    ("G-007", "trailing-omitted-24-inch-negative", &[LOW, TRAILING], -3_048_000),
    ("G-008", "plus-zero", &[], 0),
    ("G-011", "leading-omitted-46-mm", &[], 100_000_000),
];

#[test]
fn g_001_to_g_011_values() {
    for (id, name, remarks, x) in PLACED {
        let art = load(id, &format!("4.2-unit-and-format/{name}"));
        expect_said(id, &art, remarks);
        assert_eq!(flashes(id, &art.image), [Point::new(x, 0)], "{id}");
    }
}

fn operation(id: &str, art: &landgap_parser::artwork::Artwork) -> Operation {
    let found = art.commands.iter().find_map(|c| match c.what {
        What::Operation(o) => Some(o),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("{id}: no operation"))
}

/// The digits stay at the faithful level even where no point comes of them. 4.2.2, 8.2.1.1; derived.
#[test]
fn g_009_g_010_too_many_digits() {
    let written = |c: Coordinate| (c.value(), c.digits(), c.is_present(), c.has_point());
    // 1234.5678 in is 31 m: well defined, but beyond the range of this reader (one metre).
    let art = load("G-009", "4.2-unit-and-format/more-digits-than-format");
    expect_said("G-009", &art, &[LOW, "warning artwork-extra-digits", "error artwork-out-of-range"]);
    assert_eq!(written(operation("G-009", &art).x), (12_345_678, 8, true, false), "G-009");
    assert!(art.image.objects.is_empty(), "G-009");

    let art = load("G-010", "4.2-unit-and-format/trailing-omitted-too-many-digits");
    expect_said("G-010", &art, &[LOW, TRAILING, "error artwork-digits-unplaced"]);
    assert_eq!(written(operation("G-010", &art).x), (1_234_567, 7, true, false), "G-010");
    assert!(art.image.objects.is_empty(), "G-010");
}

// 8.2.1.2; derived.
#[test]
fn g_012_incremental() {
    let art = load("G-012", "4.2-unit-and-format/incremental-24-inch");
    expect_said("G-012", &art, &[LOW, "warning artwork-incremental"]);
    match art.image.objects.as_slice() {
        [object] => match object.shape {
            Shape::Draw { from, to, .. } => assert_eq!((from, to), (at(25.4, 0.0), at(38.1, 0.0)), "G-012"),
            ref other => panic!("G-012: {other:?}"),
        },
        other => panic!("G-012: {other:?}"),
    }
}

// 4.2.2: both axes must agree; the reader goes by each axis and says so.
#[test]
fn g_013_axes_differ() {
    let art = load("G-013", "4.2-unit-and-format/axes-differ");
    expect_said("G-013", &art, &["error artwork-format-axes-differ"]);
    assert_eq!(flashes("G-013", &art.image), [at(1.0, 1.0)], "G-013");
}
