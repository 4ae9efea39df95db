//! Headers, comments, tools and formats.

use super::harness::*;
use landgap_parser::drill::{Plating, Zeros};
use landgap_parser::{Severity, Unit};

// CNC-7 INCH and METRIC: defaults are 2.4 and 3.3 with leading zeros kept.
#[test]
fn defaults_are_stated_but_not_fully() {
    let inch = program("M48\nINCH\nT1C.03\n%\nT1\nX01Y0125\nM30\n");
    let format = inch.stated.expect("a unit");
    assert_eq!((format.unit, format.zeros, format.integer, format.decimals), (Unit::Inch, Zeros::Leading, 2, 4));
    assert!(!inch.stated_fully);
    let metric = program("M48\nMETRIC,TZ\nT1C.3\n%\nT1\nX1000Y1250\nM30\n");
    let format = metric.stated.expect("a unit");
    assert_eq!((format.zeros, format.integer, format.decimals), (Zeros::Trailing, 3, 3));
    assert!(!metric.stated_fully);
    assert_eq!(metric.candidates().first(), metric.stated.as_ref());
    assert!(metric.candidates().len() > 1);
}

#[test]
fn points_leave_only_the_unit_open() {
    let open = program("T1C0.5\nT1\nX1.0Y2.5\nX0Y0\nM30\n");
    assert!(open.all_decimal && open.stated.is_none());
    assert_eq!(open.candidates().iter().map(|f| f.unit).collect::<Vec<_>>(), [Unit::Millimetre], "0.5 in is no drill");
    let full = program("M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y2.5\nM30\n");
    assert!(full.stated_fully && full.candidates().len() == 1);
}

// XNC, from memory: whole numbers may leave the point out.
#[test]
fn whole_numbers_among_decimals() {
    let found = metric("X1.5Y2.5\nX3Y4.25");
    assert_eq!(holes(&found), [at(1.5, 2.5), at(3.0, 4.25)]);
    expect(&found, "drill-integers-among-decimals", Severity::Warning);
}

#[test]
fn comments_settle_digits_and_zeros() {
    let found =
        program("M48\n; FORMAT={3:3/ absolute / metric / suppress leading zeros}\nT1C0.5\n%\nT1\nX1000Y12500\nM30\n");
    let format = found.stated.expect("stated by comment");
    assert_eq!((format.unit, format.zeros, format.integer), (Unit::Millimetre, Zeros::Trailing, 3));
    assert!(found.stated_fully);
    let four = program("M48\n;FILE_FORMAT=4:4\nMETRIC\nT1C0.5\n%\nT1\nX00164210Y00774000\nM30\n");
    assert!(four.stated_fully, "equal lengths make the zeros irrelevant: {:?}", four.clues);
    let image = image("M48\n;FILE_FORMAT=4:4\nMETRIC\nT1C0.5\n%\nT1\nX00164210Y00774000\nM30\n");
    assert_eq!(holes(&image), [at(16.421, 77.4)]);
}

#[test]
fn digits_reduce_the_candidates() {
    let text = "%\nT1C.01\nX0151Y01955\nX0185Y0205\nM30\n";
    let found = program(text);
    assert!(found.stated.is_none() && !found.stated_fully);
    let first = found.candidates()[0];
    assert_eq!((first.unit, first.zeros), (Unit::Inch, Zeros::Leading), "{:?}", found.clues);
    let image = decode_first(text);
    assert_eq!(holes(&image), [at(38.354, 49.657), at(46.99, 52.07)]);
    expect(&image, "drill-header-missing", Severity::Warning);
    expect(&image, "drill-format-assumed", Severity::Warning);
    let tz = program("%\nM48\nM72\nT01C0.0236\n%\nT01\nX6890Y6140\nX8640Y11265\nM30\n");
    assert_eq!(tz.stated.map(|f| (f.unit, f.zeros)), Some((Unit::Inch, Zeros::Trailing)));
}

#[test]
fn candidates_that_give_equal_points_are_one() {
    let found = program("M48\nINCH\nT1C0.5\n%\nT1\nX012345Y054321\nM30\n");
    let formats = found.candidates();
    let points: Vec<_> =
        formats.iter().map(|f| holes(&found.decode(f, &landgap_parser::Limits::default()).unwrap())).collect();
    for (index, one) in points.iter().enumerate() {
        assert!(!points[..index].contains(one), "{formats:?}");
    }
}

#[test]
fn doubtful_statements_are_told() {
    let zeros = "M48\nINCH,LZ,00.0000\nT1C.03\n%\nT1\nX6890Y6140\nX8640Y11265\nX1200Y12345\nM30\n";
    assert!(has(&image(zeros), "drill-zeros-doubtful"));
    assert!(!program(zeros).stated_fully);
    let unit = image("M48\nINCH\nT1C0.3\nT2C1.0\n%\nT1\nX1.0Y1.0\nM30\n");
    expect(&unit, "drill-tool-size-unlikely", Severity::Warning);
    let comment = image("M48\n; FORMAT={-:-/ absolute / inch / decimal}\nMETRIC\nT1C0.3\n%\nT1\nX1.0Y1.0\nM30\n");
    expect(&comment, "drill-unit-contradicts", Severity::Warning);
}

// CNC-7 tool commands: values may stand in any order, and sizes follow the digit rule.
#[test]
fn tool_lines() {
    let found = image("M48\nINCH,LZ\nT1F200S65C00125\nT2C0009H100Z-00001\nT3C00008\n%\nT1\nX01Y01\nM30\n");
    let sizes: Vec<_> = found.tools.iter().map(|t| t.diameter).collect();
    assert_eq!(sizes, [Some(mm(3.175)), Some(mm(2.286)), Some(mm(0.2032))]);
    let long = image("M48\nMETRIC,000.000\nT1057C1.300\n%\nT1057\nX020701Y024990\nM30\n");
    assert_eq!((long.tools[0].number, long.tools[0].diameter), (1057, Some(mm(1.3))));
    assert_eq!(long.hits[0].tool, 0);
    let body = image("M48\nMETRIC\n%\nT01C0.5\nX1.0Y1.0\nT02C0.8\nX2.0Y1.0\nT01C0.5\nX3.0Y1.0\nM30\n");
    assert_eq!(body.hits.iter().map(|h| h.tool).collect::<Vec<_>>(), [0, 1, 0]);
    expect_clean(&body);
}

#[test]
fn header_wins_over_body() {
    let found = image("M48\nMETRIC\nT1C0.5\n%\nT1C0.9\nX1.0Y1.0\nM30\n");
    assert_eq!(found.tools[0].diameter, Some(mm(0.5)));
    expect(&found, "drill-tool-header-wins", Severity::Warning);
}

#[test]
fn sizes_in_comments() {
    let text = "M48\nMETRIC\n; T01 = 0.3mm\n;Holesize 2. = 40.0 Tolerance = +0.00/-0.00 NON_PLATED MILS Quantity = 1\n%\nT01\nX1.0Y1.0\nT02\nX2.0Y2.0\nX3.0Y2.0\nM30\n";
    let found = image(text);
    assert_eq!(found.tools[0].diameter, Some(mm(0.3)));
    assert_eq!((found.tools[1].diameter, found.tools[1].plating), (Some(mm(1.016)), Some(Plating::NonPlated)));
    expect(&found, "drill-quantity-differs", Severity::Warning);
    assert!(!has(&found, "drill-tool-without-diameter"));
}

#[test]
fn no_tool_codes_at_all() {
    let listed = decode_first("; T01 = 0.3mm\n; T02 = 0.5mm\n%\nX1.0Y1.0\nM00\nX2.0Y2.0\nM30\n");
    assert_eq!(listed.hits.iter().map(|h| h.tool).collect::<Vec<_>>(), [0, 1]);
    assert_eq!(listed.tools[1].diameter, Some(mm(0.5)));
    expect(&listed, "drill-tool-by-order", Severity::Warning);
    let bare = decode_first("M48\nMETRIC\n%\nX1.0Y1.0\nM30\n");
    assert_eq!((bare.hits.len(), bare.tools[0].diameter), (1, None));
    expect(&bare, "drill-tool-none", Severity::Error);
}

#[test]
fn attributes_and_types_in_comments() {
    let text = "M48\n; #@! TF.FileFunction,Plated,1,4,PTH\nMETRIC\n; #@! TA.AperFunction,Plated,PTH,ViaDrill\nT1C0.3\n; #@! TD\nT2C0.8\n%\nT1\nX1.0Y1.0\nM30\n";
    let found = program(text);
    assert_eq!(found.statements.plating, Some((Plating::Plated, 2)));
    assert_eq!(found.statements.span, Some((1, 4)));
    assert_eq!(found.statements.file_attributes[0].name, ".FileFunction");
    let tools = image(text).tools;
    assert_eq!((tools[0].plating, tools[0].function.as_deref()), (Some(Plating::Plated), Some("ViaDrill")));
    assert_eq!((tools[1].plating, tools[1].function.as_deref()), (None, None));
    let typed = program("M48\nMETRIC\n;TYPE=PLATED\nT1C0.4\n;TYPE=NON_PLATED\nT2C3.0\n%\nT1\nX1.0Y1.0\nM30\n");
    assert_eq!(
        typed.tools.iter().map(|t| t.plating).collect::<Vec<_>>(),
        [Some(Plating::Plated), Some(Plating::NonPlated)]
    );
    assert_eq!(typed.statements.plating, None);
}

#[test]
fn line_ends_and_places() {
    let ends = ["\n", "\r", "\r\n"].map(|end| metric(&["X1.0Y1.0", "G77", "XY"].join(end)));
    for found in &ends {
        assert_eq!(holes(found), [at(1.0, 1.0), at(0.0, 0.0)]);
        expect(found, "drill-code-unknown", Severity::Warning);
    }
    let cr = image(&"M48\nMETRIC\nT1C0.5\n%\nT1\nG77X1.0Y1.0\nM30\n".replace('\n', "\r"));
    assert_eq!(remark(&cr, "drill-code-unknown").place.line, 6);
    let crlf = image(&"M48\nMETRIC\nT1C0.5\n%\nT1\nG77X1.0Y1.0\nM30\n".replace('\n', "\r\n"));
    assert_eq!(remark(&crlf, "drill-code-unknown").place.line, 6);
}

// CNC-7: command set 1 has other codes for the same things.
#[test]
fn command_set_one() {
    let found = image("M48\nMETRIC\nFMAT,1\nT1C0.5\n%\nG81\nT1\nM25\nX1.0Y1.0\nM24\nM26X5.0\nM26X10.0M21\nM27\nM02\n");
    assert_eq!(holes(&found), [at(1.0, 1.0), at(6.0, 1.0), at(14.0, 1.0)]);
    expect_clean(&found);
}

#[test]
fn commands_without_holes_and_with_warnings() {
    let quiet = metric("G04X5.0\nM47,CHANGE\nM06X9.0Y9.0\nG90\nX1.0Y1.0\nM45,LINE ONE\\\nX7 LINE TWO\nT0");
    assert_eq!(holes(&quiet), [at(1.0, 1.0)]);
    expect_clean(&quiet);
    expect(&metric("X1.0Y1.0\nM97,TARN\nX5.0Y5.0"), "drill-text", Severity::Warning);
    assert_eq!(metric("X1.0Y1.0\nM97,TARN\nX5.0Y5.0").hits.len(), 1);
    expect(&metric("X1.0Y1.0\nM99,BUOY"), "drill-stored-pattern", Severity::Error);
    expect(&metric("/X1.0Y1.0"), "drill-block-delete", Severity::Info);
    let zero = metric("G93X10.0Y5.0\nX1.0Y1.0");
    assert_eq!(holes(&zero), [at(11.0, 6.0)]);
    expect(&zero, "drill-work-zero", Severity::Warning);
    let setup = image("M48\nVER,2\nTCST,OFF\nATC,ON\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0\nM30\n");
    expect(&setup, "drill-axis-version", Severity::Warning);
    expect(&setup, "drill-set-up", Severity::Info);
}
