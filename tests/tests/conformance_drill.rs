//! The drill and rout reader against the rules of the trade, through its public door only.
//!
//! Sources: "CNC-7" is the part programming manual of the CNC-7 drill and rout control (its codes,
//! number formats and worked examples); results marked "derived" follow from its rules by hand.

#[path = "conformance_drill/boards.rs"]
mod boards;
#[path = "conformance_drill/harness.rs"]
mod harness;
#[path = "conformance_drill/header.rs"]
mod header;
#[path = "conformance_drill/negative.rs"]
mod negative;
#[path = "conformance_drill/path.rs"]
mod path;

use harness::*;
use landgap_parser::Severity;
use landgap_parser::drill::HitShape;

/// Headers of the columns of the table below.
const COLUMNS: [&str; 9] = [
    "INCH,LZ,00.0000",
    "INCH,TZ,00.0000",
    "METRIC,LZ,000.000",
    "METRIC,TZ,000.000",
    "METRIC,LZ,000.00",
    "METRIC,TZ,000.00",
    "METRIC,LZ,0000.00",
    "METRIC,LZ,0000.0000",
    "METRIC,TZ,0000.0000",
];

/// One number under nine formats, in millimetres. CNC-7 number formats; the first cells of X-001 to
/// X-003 are the manual's own examples, the others derived.
const NUMBERS: [(&str, &str, [f64; 9]); 13] = [
    ("X-001", "0075", [19.05, 0.1905, 7.5, 0.075, 7.5, 0.75, 75.0, 75.0, 0.0075]),
    ("X-002", "7500", [1905.0, 19.05, 750.0, 7.5, 750.0, 75.0, 7500.0, 7500.0, 0.75]),
    ("X-003", "75", [1905.0, 0.1905, 750.0, 0.075, 750.0, 0.75, 7500.0, 7500.0, 0.0075]),
    ("X-004", "014", [35.56, 0.03556, 14.0, 0.014, 14.0, 0.14, 140.0, 140.0, 0.0014]),
    ("X-005", "5", [1270.0, 0.0127, 500.0, 0.005, 500.0, 0.05, 5000.0, 5000.0, 0.0005]),
    ("X-006", "1234", [313.436, 3.13436, 123.4, 1.234, 123.4, 12.34, 1234.0, 1234.0, 0.1234]),
    ("X-007", "10500", [266.7, 26.67, 105.0, 10.5, 105.0, 105.0, 1050.0, 1050.0, 1.05]),
    ("X-008", "00125", [3.175, 0.3175, 1.25, 0.125, 1.25, 1.25, 12.5, 12.5, 0.0125]),
    ("X-009", "-0125", [-31.75, -0.3175, -12.5, -0.125, -12.5, -1.25, -125.0, -125.0, -0.0125]),
    ("X-010", "012345", [31.3563, 31.3563, 12.345, 12.345, 12.345, 123.45, 123.45, 123.45, 1.2345]),
    ("X-011", "123456", [313.57824, 313.57824, 123.456, 123.456, 123.456, 1234.56, 1234.56, 1234.56, 12.3456]),
    ("X-012", ".075", [1.905, 1.905, 0.075, 0.075, 0.075, 0.075, 0.075, 0.075, 0.075]),
    ("X-013", "1.45", [36.83, 36.83, 1.45, 1.45, 1.45, 1.45, 1.45, 1.45, 1.45]),
];

fn check_number(id: &str, text: &str, header: &str, wanted: f64) {
    let image = image(&format!("M48\n{header}\nT01C.5\n%\nT01\nX{text}Y0\nM30\n"));
    let case = format!("{id} {text} under {header}");
    // Values beyond one metre leave the range of the reader and must say so.
    if wanted.abs() > 1000.0 {
        assert!(image.hits.is_empty() && has(&image, "drill-out-of-range"), "{case}: {:?}", image.hits);
    } else {
        assert_eq!(holes(&image), [at(wanted, 0.0)], "{case}");
    }
    let long = text.len() == 6 && header.ends_with(",000.00") && !text.contains('.');
    assert_eq!(has(&image, "drill-number-long"), long, "{case}: warning on length");
}

#[test]
fn x_001_to_x_013_numbers_under_each_format() {
    for (id, text, cells) in NUMBERS {
        for (header, wanted) in COLUMNS.iter().zip(cells) {
            check_number(id, text, header, wanted);
        }
    }
}

// CNC-7 R; derived.
#[test]
fn x_020_repeat() {
    let found = metric("X1.0Y1.0\nR3X0.5");
    assert_eq!(holes(&found), [at(1.0, 1.0), at(1.5, 1.0), at(2.0, 1.0), at(2.5, 1.0)]);
    expect_clean(&found);
}

// CNC-7 step and repeat; derived.
#[test]
fn x_021_step_and_repeat() {
    let found = metric("M25\nX1.0Y1.0\nM01\nM02X5.0\nM02X5.0\nM02\nM08");
    assert_eq!(holes(&found), [at(1.0, 1.0), at(6.0, 1.0), at(11.0, 1.0)]);
    expect_clean(&found);
}

// CNC-7 step and repeat, several groups in one pattern; derived.
#[test]
fn x_022_nested_step_and_repeat() {
    let found = metric("M25\nX1.0Y1.0\nR1X1.0\nM01\nR2M02Y2.0\nM01\nR1M02X10.0\nM08");
    let mut wanted = Vec::new();
    for x in [1.0, 2.0, 11.0, 12.0] {
        wanted.extend([1.0, 3.0, 5.0].map(|y| at(x, y)));
    }
    assert_eq!(sorted(holes(&found)), wanted);
}

// CNC-7 M80, M70 and M90; derived.
#[test]
fn x_023_mirrored_copy() {
    let found = metric("M25\nX2.0Y1.0\nM01\nM02X10.0Y0.0M80\nM08");
    assert_eq!(holes(&found), [at(2.0, 1.0), at(8.0, 1.0)]);
}

#[test]
fn x_024_swapped_copy() {
    let found = metric("M25\nX2.0Y1.0\nM01\nM02X10.0Y0.0M70\nM08");
    assert_eq!(holes(&found), [at(2.0, 1.0), at(11.0, 2.0)]);
}

#[test]
fn copies_negated_in_y_and_in_both() {
    let found = metric("M25\nX2.0Y1.0\nM01\nM02X10.0Y5.0M90\nM08");
    assert_eq!(holes(&found), [at(2.0, 1.0), at(12.0, 4.0)]);
    let found = metric("M25\nX2.0Y1.0\nM01\nM02X10.0Y5.0M80M90\nM08");
    assert_eq!(holes(&found), [at(2.0, 1.0), at(8.0, 4.0)]);
}

// CNC-7 G91; derived.
#[test]
fn x_025_incremental() {
    let found = metric("G91\nX1.0Y1.0\nX1.0\nY1.0");
    assert_eq!(holes(&found), [at(1.0, 1.0), at(2.0, 1.0), at(2.0, 2.0)]);
    let by_header = image("M48\nMETRIC\nICI,ON\nT1C0.5\n%\nT1\nX1.0Y1.0\nX1.0\nY1.0\nM30\n");
    assert_eq!(holes(&by_header), holes(&found));
}

// CNC-7 G85, the manual's own example.
#[test]
fn x_026_slot() {
    let found = image("M48\nINCH,LZ\nT1C.032\n%\nT1\nX03Y05G85X03Y047\nM30\n");
    let slot = HitShape::Slot { from: at(76.2, 127.0), to: at(76.2, 119.38) };
    assert_eq!(found.hits.iter().map(|h| &h.shape).collect::<Vec<_>>(), [&slot]);
    assert_eq!(found.tools[0].diameter, Some(mm(0.8128)));
}

// CNC-7 G85; that an axis left out stays is derived.
#[test]
fn slot_with_one_axis_left_out_keeps_it() {
    let found = metric("X1.0Y2.0G85X4.0\nY5.0");
    let slot = HitShape::Slot { from: at(1.0, 2.0), to: at(4.0, 2.0) };
    let hole = HitShape::Hole { at: at(4.0, 5.0) };
    assert_eq!(found.hits.iter().map(|h| &h.shape).collect::<Vec<_>>(), [&slot, &hole]);
}

// CNC-7 M71 and M72.
#[test]
fn x_032_unit_code_against_header() {
    let found = image("M48\nMETRIC\nT1C0.04\n%\nM72\nT1\nX1.0Y2.0\nM30\n");
    assert_eq!(holes(&found), [at(25.4, 50.8)]);
    expect(&found, "drill-unit-contradicts", Severity::Warning);
    assert!(!program("M48\nMETRIC\nT1C0.04\n%\nM72\nT1\nX1.0Y2.0\nM30\n").stated_fully);
}

#[test]
fn x_033_unit_changes_mid_file() {
    let found = metric("X1.0Y1.0\nM72\nX2.0Y1.0");
    expect(&found, "drill-unit-mid-file", Severity::Error);
    assert_eq!(holes(&found), [at(1.0, 1.0), at(2.0, 1.0)], "the first unit is kept");
    let again = metric("X1.0Y1.0\nM71\nX2.0Y1.0");
    assert!(!has(&again, "drill-unit-mid-file"), "the same unit again is no change");
}

// CNC-7 tool commands.
#[test]
fn x_034_tool_never_declared() {
    let found = metric("T3\nX1.0Y1.0");
    expect(&found, "drill-tool-undeclared", Severity::Error);
    assert_eq!(holes(&found), [at(1.0, 1.0)]);
    let tool = &found.tools[found.hits[0].tool as usize];
    assert_eq!((tool.number, tool.diameter), (3, None));
}

#[test]
fn x_035_tool_with_compensation_index() {
    let found = image("M48\nMETRIC\nT03C0.5\n%\nT0302\nX1.0Y1.0\nM30\n");
    let tool = &found.tools[found.hits[0].tool as usize];
    assert_eq!((tool.number, tool.diameter), (3, Some(mm(0.5))));
    assert!(remark(&found, "drill-tool-index").found.contains("index 2"));
}

#[test]
fn x_036_zero_diameter() {
    let found = image("M48\nMETRIC\nT1C0\n%\nT1\nX1.0Y1.0\nM30\n");
    expect(&found, "drill-tool-zero-diameter", Severity::Error);
    assert_eq!(found.tools[0].diameter, None);
    assert_eq!(found.hits.len(), 1);
}

// CNC-7 canned cycles: pitch 0.100 in, rows 0.300 in; which corners is derived.
#[test]
fn two_row_pattern_has_its_pins() {
    let found = image("M48\nINCH\nT1C0.03\n%\nT1\nG82\nX1.0Y1.0\nX1.3Y1.3\nX5.0Y5.0\nM30\n");
    assert_eq!(found.hits.len(), 9, "4 + 4 pins and one hole");
    assert!(holes(&found).contains(&at(27.94, 25.4)) || holes(&found).contains(&at(25.4, 27.94)));
    expect(&found, "drill-canned-pattern", Severity::Warning);
    let wrong = image("M48\nINCH\nT1C0.03\n%\nT1\nG82\nX1.0Y1.0\nX1.37Y1.9\nM30\n");
    expect(&wrong, "drill-pattern-corners", Severity::Error);
}

// CNC-7 G83: eight pins on a circle.
#[test]
fn round_pattern_has_eight_pins() {
    let found = image("M48\nMETRIC\nT1C0.5\n%\nT1\nG83\nX10.0Y0.0\nX0.0Y0.0\nM30\n");
    let points = holes(&found);
    assert_eq!(points.len(), 8);
    for point in &points {
        assert!((point.distance(at(5.0, 0.0)) - 5e6).abs() < 1.0, "{point:?}");
    }
    assert!(points.contains(&at(5.0, 5.0)) && points.contains(&at(0.0, 0.0)));
}
