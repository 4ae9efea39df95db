//! Files that can be read in two ways carry the area that hangs on it (Gerber layer format 4.7.2, 4.10.3, 8.1.10).
//! Areas are worked out by hand from the coordinates.

use landgap_parser::{Limits, Remark, TwoReadings, artwork};

fn remarks(body: &str) -> Vec<Remark> {
    let text = format!("%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,0.1*%\nD10*\nG01*\n{body}M02*\n");
    artwork::read(text.as_bytes(), &Limits::default()).expect("within limits").remarks
}

/// The places of the remark with this code.
fn places(body: &str, code: &str) -> Vec<TwoReadings> {
    let found = remarks(body);
    let remark = found.iter().find(|r| r.code.id == code).unwrap_or_else(|| panic!("no {code} in {found:?}"));
    remark.two_readings.clone()
}

fn differs(body: &str, code: &str, mm2: f64) -> TwoReadings {
    let places = places(body, code);
    let [only] = places.as_slice() else { panic!("{code}: {places:?}") };
    let got = only.differ_nm2 as f64 / 1e12;
    assert!((got - mm2).abs() <= 1e-6 + mm2 * 1e-4, "{code}: {got} mm², {mm2} expected");
    *only
}

const BOW: &str = "G36*\nX0Y0D02*\nX10000000Y10000000D01*\nX10000000Y0D01*\nX0Y10000000D01*\nX0Y0D01*\nG37*\n";

/// Clause 4.10.3: half of a bow-tie is gone round the wrong way.
#[test]
fn a_crossing_contour_leaves_half_of_a_bow_tie_unclear() {
    let place = differs(BOW, "artwork-contour-crosses", 25.0);
    assert_eq!(place.areas_nm2, Some((50_000_000_000_000, 25_000_000_000_000)));
    assert_eq!((place.at.x, place.at.y), (5_000_000, 5_000_000));
}

/// Clause 4.10.3: a wide gap leaves unclear whether the contour is filled at all, a narrow one only its corner.
#[test]
fn an_open_contour_leaves_its_corner_or_its_whole_unclear() {
    let wide = "G36*\nX0Y0D02*\nX10000000Y0D01*\nX10000000Y10000000D01*\nX0Y10000000D02*\nG37*\n";
    differs(wide, "artwork-contour-open", 50.0);
    let narrow = "G36*\nX0Y0D02*\nX10000000Y0D01*\nX10000000Y10000000D01*\nX1000000Y10000000D01*\nX0Y9000000D01*\nX1000000Y1000000D01*\nG37*\n";
    differs(narrow, "artwork-contour-open", 0.5);
}

/// Clause 4.7.2.2: radii of 10 and 11 mm over a quarter turn, ¼·π·(11² − 10²).
#[test]
fn radii_that_differ_leave_the_ring_between_them_unclear() {
    let arc = "G75*\nX10000000Y0D02*\nG03*\nX0Y11000000I-10000000J0D01*\n";
    differs(arc, "artwork-arc-radius", std::f64::consts::PI * 21.0 / 4.0);
}

/// Clause 8.1.10: without G74 or G75 an arc that ends where it began is a full circle or a dot.
#[test]
fn equal_ends_without_quadrant_mode_are_a_circle_or_a_dot() {
    let arc = "X10000000Y0D02*\nG03*\nX10000000Y0I-10000000J0D01*\n";
    differs(arc, "artwork-arc-mode-undefined", std::f64::consts::PI * 100.0);
}

/// Clause 4.10.1: a polarity set inside a region may have been meant for it.
#[test]
fn polarity_inside_a_region_leaves_the_region_unclear() {
    let square = "G36*\nX0Y0D02*\nX2000000Y0D01*\n%LPC*%\nX2000000Y2000000D01*\nX0Y2000000D01*\nX0Y0D01*\nG37*\n";
    differs(square, "artwork-region-polarity", 4.0);
}

/// Clause 4.10.4.7: a cut-in to a hole is as the standard has it; nothing is unclear.
#[test]
fn cut_ins_are_clear() {
    let cut = "G36*\nX0Y0D02*\nX9000000Y0D01*\nX9000000Y9000000D01*\nX0Y9000000D01*\nX0Y5000000D01*\nX3000000Y5000000D01*\nX6000000Y5000000D01*\nX6000000Y3000000D01*\nX3000000Y3000000D01*\nX3000000Y5000000D01*\nX0Y5000000D01*\nX0Y0D01*\nG37*\n";
    assert!(remarks(cut).iter().all(|r| r.two_readings.is_empty()), "{:?}", remarks(cut));
}

/// Half a million sides that run past one another are looked at in full; only the hostile bound may stop it.
#[test]
fn long_contours_are_looked_at() {
    let mut body = String::from("G36*\nX0Y0D02*\n");
    for i in 0..49_000 {
        let (x, y) = (i * 4_000, if i % 2 == 0 { 50_000_000 } else { 1_000_000 });
        body += &format!("X{x}Y{y}D01*\nX{}Y{y}D01*\n", x + 4_000);
    }
    body += "X400000000Y0D01*\nX0Y0D01*\nG37*\n";
    assert!(remarks(&body).iter().all(|r| !r.code.id.starts_with("artwork-contour")), "{:?}", remarks(&body));
}
